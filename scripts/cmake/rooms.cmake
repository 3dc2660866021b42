# A room is a folder with one idea and one static library. It sees its own headers and those of the
# rooms it names, nothing else: every room gets an include folder that holds a link to it alone, so an
# include of a room that USES does not reach fails to compile, and a missing source fails to link.

set(STRAPLINE_WARNINGS -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wnon-virtual-dtor -Werror)

# The standard headers that most files of a room include; protocol's rooms are too small to gain by it.
set(STRAPLINE_PRECOMPILED
  <algorithm> <array> <cstdint> <functional> <map> <optional> <span> <string> <string_view> <variant> <vector>)

# strapline_compile_rules(TARGET) sets what every target of ours is compiled with.
function(strapline_compile_rules target)
  target_compile_options(${target} PRIVATE ${STRAPLINE_WARNINGS})
  if(STRAPLINE_SANITIZE)
    target_compile_options(${target} PRIVATE -fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer)
    target_link_options(${target} PRIVATE -fsanitize=address,undefined)
  endif()
endfunction()

# strapline_room(PATH [SOURCES …] [USES ROOM…] [LIBS LIBRARY…] [DEFINES D…] [OPTIMISED] [FREESTANDING])
#   USES         the rooms it may include, by path ("protocol/base")
#   LIBS         libraries from outside, private to the room
#   OPTIMISED    -O2 in development builds too: rooms that simulate or count
#   FREESTANDING no exceptions, no RTTI
function(strapline_room path)
  cmake_parse_arguments(ROOM "OPTIMISED;FREESTANDING" "" "SOURCES;USES;LIBS;DEFINES" ${ARGN})
  string(REPLACE "/" "_" target ${path})
  set(view ${CMAKE_BINARY_DIR}/rooms/${target})
  get_filename_component(parent ${path} DIRECTORY)
  file(MAKE_DIRECTORY ${view}/${parent})
  file(CREATE_LINK ${CMAKE_SOURCE_DIR}/${path} ${view}/${path} SYMBOLIC)

  string(REPLACE "/" "_" uses "${ROOM_USES}")
  if(ROOM_SOURCES)
    add_library(${target} STATIC ${ROOM_SOURCES})
    target_include_directories(${target} PUBLIC ${view})
    target_link_libraries(${target} PUBLIC ${uses} PRIVATE ${ROOM_LIBS})
    target_compile_definitions(${target} PRIVATE ${ROOM_DEFINES})
    strapline_compile_rules(${target})
    if(ROOM_OPTIMISED AND CMAKE_BUILD_TYPE STREQUAL "Debug" AND NOT STRAPLINE_SANITIZE)
      target_compile_options(${target} PRIVATE -O2)
    endif()
    if(ROOM_FREESTANDING)
      target_compile_options(${target} PRIVATE -fno-exceptions -fno-rtti)
    elseif(STRAPLINE_PCH)
      target_precompile_headers(${target} PRIVATE ${STRAPLINE_PRECOMPILED})
    endif()
  else()
    add_library(${target} INTERFACE)
    target_include_directories(${target} INTERFACE ${view})
    target_link_libraries(${target} INTERFACE ${uses})
  endif()
endfunction()

# strapline_program(NAME SOURCES … USES ROOM… [LIBS …]) links a program with the C++ runtime inside it,
# so that it starts without looking for libraries.
function(strapline_program name)
  cmake_parse_arguments(PROGRAM "" "" "SOURCES;USES;LIBS" ${ARGN})
  string(REPLACE "/" "_" uses "${PROGRAM_USES}")
  add_executable(${name} ${PROGRAM_SOURCES})
  target_link_libraries(${name} PRIVATE ${uses} ${PROGRAM_LIBS})
  strapline_compile_rules(${name})
  set_target_properties(${name} PROPERTIES RUNTIME_OUTPUT_DIRECTORY ${CMAKE_BINARY_DIR}/bin)
  if(NOT STRAPLINE_SANITIZE)
    target_link_options(${name} PRIVATE -static-libstdc++ -static-libgcc)
  endif()
endfunction()

# strapline_test(PATH SOURCES … [USES ROOM…] [LIBS …] [NEEDS PROGRAM…] [LABEL L]) builds one doctest
# program for a room of tests/ and registers it with ctest under its path.
function(strapline_test path)
  cmake_parse_arguments(TEST "OPTIMISED" "LABEL;TIMEOUT" "SOURCES;USES;LIBS;NEEDS" ${ARGN})
  string(REPLACE "/" "_" stem ${path})
  string(REPLACE "/" "_" uses "${TEST_USES}")
  set(target test_${stem})
  add_executable(${target} ${TEST_SOURCES})
  target_link_libraries(${target} PRIVATE tests_support ${uses} ${TEST_LIBS})
  strapline_compile_rules(${target})
  if(TEST_OPTIMISED AND CMAKE_BUILD_TYPE STREQUAL "Debug" AND NOT STRAPLINE_SANITIZE)
    target_compile_options(${target} PRIVATE -O2)
  endif()
  if(TEST_NEEDS)
    add_dependencies(${target} ${TEST_NEEDS})
  endif()
  add_test(NAME ${path} COMMAND ${target} WORKING_DIRECTORY ${CMAKE_SOURCE_DIR})
  if(NOT TEST_TIMEOUT)
    set(TEST_TIMEOUT 120)
  endif()
  set_tests_properties(${path} PROPERTIES TIMEOUT ${TEST_TIMEOUT}
    ENVIRONMENT "STRAPLINE_BIN=${CMAKE_BINARY_DIR}/bin;STRAPLINE_SOURCE=${CMAKE_SOURCE_DIR}")
endfunction()
