#include "stillpoint/fetch/archives_toml.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <utility>

#include "stillpoint/fetch/file_name.h"
#include "stillpoint/fetch/table_text.h"
#include "stillpoint/fetch/words.h"

namespace stillpoint::fetch {
namespace {

constexpr std::size_t kMostText = std::size_t{256} * 1024;
constexpr std::size_t kMostArchives = 20;
constexpr std::size_t kMostProducts = 200;
constexpr std::size_t kMostLogins = 20;
constexpr std::size_t kLongestText = 500;
constexpr double kShortestSpanS = 900;

constexpr std::array<Key, 4> kListKeys = {{
    {"archive", true, "[[archive]]"},
    {"product", true, "[[product]]"},
    {"login", false, "[[login]]"},
    {"proxy", false, "proxy = \"http://proxy.example.org:3128\""},
}};
constexpr std::array<Key, 3> kArchiveKeys = {{
    {"name", true, "name = \"first\""},
    {"url", true, "url = \"https://products.example.org/{week}/{file}\""},
    {"attribution", false, "attribution = \"the agency's own words\""},
}};
constexpr std::array<Key, 4> kLoginKeys = {{
    {"host", true, "host = \"products.example.org\""},
    {"user", true, "user = \"station\""},
    {"password_file", false, "password_file = \"/etc/stillpoint/products\""},
    {"password_env", false, "password_env = \"PRODUCTS_PASSWORD\""},
}};
constexpr std::array<Key, 10> kProductKeys = {{
    {"kind", true, "kind = \"orbits\""},
    {"quality", true, "quality = \"final\""},
    {"agency", true, "agency = \"AAA\""},
    {"campaign", false, "campaign = \"OPS\""},
    {"file",
     true,
     "file = \"{agency}0{campaign}{type}_{yyyy}{ddd}0000_01D_15M_ORB.SP3.gz\""},
    {"span", true, "span = \"1d\""},
    {"every", false, "every = \"6h\""},
    {"sample", false, "sample = \"15m\""},
    {"observed", false, "observed = \"1d\""},
    {"latency", false, "latency = \"13d\""},
}};

bool is_three_letters(std::string_view text) {
  return text.size() == 3 && std::all_of(text.begin(), text.end(), [](char c) {
           return (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
         });
}

void read_letters(Table& table, std::string_view key, std::string& letters) {
  auto text = table.text(key, kLongestText);
  if (text && !is_three_letters(*text)) {
    table.wrong(key, "three capital letters or digits");
  } else if (text) {
    letters = std::move(*text);
  }
}

// A template, and what is wrong with it.
void read_template(Table& table,
                   std::string_view key,
                   Status (*check)(std::string_view),
                   std::string& into) {
  auto text = table.text(key, kLongestText);
  if (!text) {
    return;
  }
  if (auto state = check(*text); !state) {
    table.wrong(key, state.error().what, state.error().remedy);
  } else {
    into = std::move(*text);
  }
}

Archive read_archive(const toml::table& node, Findings& findings) {
  Table table(node, "an archive", kArchiveKeys, findings);
  Archive archive;
  archive.name = table.text("name", 80).value_or("");
  read_template(table, "url", check_url_template, archive.url_template);
  archive.attribution = table.text("attribution", kLongestText).value_or("");
  return archive;
}

Login read_login(const toml::table& node, Findings& findings) {
  Table table(node, "a login", kLoginKeys, findings);
  Login login;
  login.host = table.text("host", 250).value_or("");
  if (login.host.find_first_of("/@{} ") != std::string::npos) {
    table.wrong("host", "a host's name alone, without https:// and port");
  }
  // As host_of() has it.
  login.host = host_of("https://" + login.host);
  login.user = table.text("user", 250).value_or("");
  login.password_file = table.text("password_file", kLongestText).value_or("");
  login.password_env = table.text("password_env", 250).value_or("");
  if (login.password_file.empty() == login.password_env.empty() &&
      (node.get("password_file") == nullptr) ==
          (node.get("password_env") == nullptr)) {
    table.wrong("password_file", "one of password_file and password_env");
  }
  return login;
}

void read_times(Table& table, ProductLine& line) {
  line.span_s = table.length_s("span").value_or(0);
  if (line.span_s > 0 && line.span_s < kShortestSpanS) {
    table.wrong("span", "15 minutes or more, or \"0s\" for files without time");
    line.span_s = 0;
  }
  line.every_s = table.length_s("every").value_or(line.span_s);
  if (line.every_s > line.span_s ||
      (line.span_s > 0 && line.every_s < kShortestSpanS)) {
    table.wrong("every", "15 minutes or more, and not more than span");
    line.every_s = line.span_s;
  }
  line.sample_s = table.length_s("sample").value_or(0);
  const double common_s = line.span_s - line.every_s - line.sample_s;
  if (line.every_s < line.span_s && common_s < kShortestSpanS) {
    table.wrong("every", "files that overlap do so by 15 minutes and a sample");
  }
  if (line.sample_s > 0 && line.sample_s >= line.span_s) {
    table.wrong("sample", "less than span");
  }
  line.observed_s = table.length_s("observed").value_or(line.span_s);
  if (line.observed_s > line.span_s) {
    table.wrong("observed", "not more than span");
  }
  line.latency_s =
      table.length_s("latency").value_or(usual_latency_s(line.quality));
}

ProductLine read_product(const toml::table& node, Findings& findings) {
  Table table(node, "a product", kProductKeys, findings);
  ProductLine line;
  line.kind = static_cast<ProductKind>(
      table.word("kind", kKindWords).value_or(std::size_t{0}));
  line.quality = static_cast<Quality>(
      table.word("quality", kQualityWords).value_or(std::size_t{0}));
  line.campaign = "OPS";
  read_letters(table, "agency", line.agency);
  read_letters(table, "campaign", line.campaign);
  read_template(table, "file", check_file_template, line.file_template);
  read_times(table, line);
  return line;
}

ArchiveList read_list(const toml::table& node, Findings& findings) {
  Table table(node, "archives.toml", kListKeys, findings);
  ArchiveList list;
  for (const toml::table* one : table.tables("archive", kMostArchives)) {
    list.archives.push_back(read_archive(*one, findings));
  }
  for (const toml::table* one : table.tables("product", kMostProducts)) {
    list.products.push_back(read_product(*one, findings));
  }
  for (const toml::table* one : table.tables("login", kMostLogins)) {
    list.logins.push_back(read_login(*one, findings));
  }
  list.proxy = table.text("proxy", kLongestText).value_or("");
  const std::string scheme = scheme_of(list.proxy);
  if (!list.proxy.empty() && ((scheme != "http" && scheme != "https") ||
                              list.proxy.find('@') != std::string::npos)) {
    table.wrong("proxy", "http:// or https:// with host and port, no user");
  }
  return list;
}

}  // namespace

Result<ArchiveList> parse_archives(std::string_view toml,
                                   std::string_view name) {
  if (toml.size() > kMostText) {
    return fail(ErrorCode::kConfig,
                fmt::format("{} bytes; a list of archives has at most {}",
                            toml.size(),
                            kMostText),
                fmt::format("{}:1:1", name),
                "give a list of archives (docs/fetch.md)");
  }
  Findings findings(name);
  const toml::parse_result parsed = toml::parse(toml, name);
  if (!parsed) {
    findings.add(parsed.error().source(),
                 std::string(parsed.error().description()),
                 "correct this place; examples/archives.toml is a whole list");
    return fail(findings.error());
  }
  ArchiveList list = read_list(parsed.table(), findings);
  if (findings.any()) {
    return fail(findings.error());
  }
  return list;
}

}  // namespace stillpoint::fetch
