# The models of the simulated world; included by ../CMakeLists.txt.
set(NATURE_SOURCES
  nature/antenna.cc nature/attitude.cc nature/gauss_markov.cc
  nature/ionosphere.cc nature/multipath.cc nature/noise.cc
  nature/ocean_loading.cc nature/random.cc nature/relativity.cc
  nature/satellite_antenna.cc nature/scintillation.cc nature/solid_tide.cc
  nature/solid_tide_step2.cc nature/sun_moon.cc nature/sun_moon_series.cc
  nature/troposphere.cc
  nature/vectors.cc nature/wet_field.cc nature/wind_up.cc)
set(NATURE_TESTS
  nature/antenna_test.cc nature/attitude_test.cc nature/gauss_markov_test.cc
  nature/ionosphere_test.cc nature/light_path_test.cc nature/multipath_test.cc
  nature/noise_test.cc nature/random_test.cc nature/relativity_test.cc
  nature/satellite_antenna_test.cc nature/scintillation_test.cc
  nature/wet_field_test.cc nature/wind_up_test.cc)
set(NATURE_VECTOR_TESTS
  nature/ocean_loading_test.cc nature/solid_tide_test.cc
  nature/sun_moon_test.cc nature/troposphere_test.cc)
