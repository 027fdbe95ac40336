# stillpoint_module(NAME geo SOURCES coords.cc PUBLIC coords.h
#                   TESTS coords_test.cc VECTOR_TESTS published_test.cc
#                   DEPS core time LIBS Threads::Threads)
# One call per folder of src/stillpoint/. DEPS is the only place where a module
# may name another; PUBLIC headers are the installed API and may include only
# other PUBLIC headers. tools/check_deps.py holds both rules (ctest
# "structure.*") and compares DEPS with the table in ARCHITECTURE.md's source,
# tools/modules.json.
function(stillpoint_module)
  cmake_parse_arguments(
    M "" "NAME" "SOURCES;PUBLIC;TESTS;VECTOR_TESTS;DEPS;LIBS" ${ARGN})
  set(scope PUBLIC)
  if(M_SOURCES)
    add_library(stillpoint_${M_NAME} STATIC ${M_SOURCES})
  else()
    add_library(stillpoint_${M_NAME} INTERFACE)
    set(scope INTERFACE)
  endif()
  add_library(stillpoint::${M_NAME} ALIAS stillpoint_${M_NAME})
  target_include_directories(
    stillpoint_${M_NAME} ${scope} ${PROJECT_SOURCE_DIR}/src)
  target_compile_features(stillpoint_${M_NAME} ${scope} cxx_std_20)
  list(TRANSFORM M_DEPS PREPEND stillpoint:: OUTPUT_VARIABLE targets)
  target_link_libraries(stillpoint_${M_NAME} ${scope} ${targets} ${M_LIBS})
  list(JOIN M_DEPS " " deps)
  list(JOIN M_PUBLIC " " headers)
  file(APPEND ${CMAKE_BINARY_DIR}/modules.txt
       "${M_NAME} | ${deps} | ${headers}\n")
  set_property(GLOBAL APPEND PROPERTY STILLPOINT_MODULES
               stillpoint_${M_NAME})
  if(BUILD_TESTING)
    stillpoint_module_tests(${M_NAME} unit "${M_TESTS}")
    stillpoint_module_tests(${M_NAME} vector "${M_VECTOR_TESTS}")
  endif()
endfunction()

# One executable per module and label; tests/support is on every test's path.
function(stillpoint_module_tests name label sources)
  if(NOT sources)
    return()
  endif()
  set(target ${name}_${label}_test)
  add_executable(${target} ${sources})
  target_link_libraries(
    ${target} PRIVATE stillpoint::${name} stillpoint_test_support
                      GTest::gtest_main)
  gtest_discover_tests(
    ${target} TEST_PREFIX "${name}." DISCOVERY_MODE PRE_TEST
    PROPERTIES LABELS ${label}
    ENVIRONMENT "STILLPOINT_DATA=${STILLPOINT_DATA_DIR}")
endfunction()
