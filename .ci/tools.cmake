# Targets for people: format, format-check, cppcheck, lint (that and clang-tidy).
file(GLOB_RECURSE own_sources CONFIGURE_DEPENDS ${PROJECT_SOURCE_DIR}/src/*.cc ${PROJECT_SOURCE_DIR}/src/*.h
     ${PROJECT_SOURCE_DIR}/tests/*.cc ${PROJECT_SOURCE_DIR}/tests/*.h)
add_custom_target(format COMMAND clang-format -i ${own_sources} VERBATIM)
add_custom_target(format-check COMMAND clang-format --dry-run --Werror ${own_sources} VERBATIM)
# missingReturn is left to the compiler, which knows better which functions never return.
file(GLOB_RECURSE program_sources CONFIGURE_DEPENDS ${PROJECT_SOURCE_DIR}/src/*.cc)
add_custom_target(cppcheck
  COMMAND cppcheck --quiet --std=c++20 --enable=warning,performance,portability --inline-suppr
          --suppress=internalAstError --suppress=missingReturn --error-exitcode=1 -I ${PROJECT_SOURCE_DIR}/src ${program_sources}
  VERBATIM)
add_custom_target(lint
  COMMAND run-clang-tidy -quiet -extra-arg=-Wno-unknown-warning-option -extra-arg=-UNDEBUG -p ${PROJECT_BINARY_DIR} ${PROJECT_SOURCE_DIR}/src/
  VERBATIM)
add_dependencies(lint cppcheck)
