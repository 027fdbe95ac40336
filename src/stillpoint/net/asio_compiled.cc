// Asio's own code, compiled here once (BOOST_ASIO_SEPARATE_COMPILATION) rather
// than in every file that includes it.
#include <boost/asio/impl/src.hpp>
#include <boost/asio/ssl/impl/src.hpp>
