# A room is a folder with one idea and one static library. It sees its own headers and those of the
# rooms it names, nothing else: every room gets an include folder that holds a link to it alone, so an
# include of a room that USES does not reach fails to compile, and a missing source fails to link.

set(STRAPLINE_WARNINGS -Wall -Wextra -Wpedantic -Wshadow -Wconversion -Wnon-virtual-dtor -Werror)
if(CMAKE_BUILD_TYPE STREQUAL "Release")
  # At -O2 g++ 12 takes std::string's own buffer for one overrun, and an optional asked first for one not set (its bugs
  # 105329, 105651 and 80635). What these find without optimisation stays an error in the other builds.
  list(APPEND STRAPLINE_WARNINGS -Wno-array-bounds -Wno-maybe-uninitialized -Wno-restrict -Wno-stringop-overflow
    -Wno-stringop-overread)
endif()

# What most files of a kind include, precompiled once and shared by all of that kind: any room, rooms that name
# host/model, tests. protocol's rooms are too small to gain by it.
set(STRAPLINE_PRECOMPILED
  <algorithm> <array> <cstdint> <functional> <map> <optional> <span> <string> <string_view> <variant> <vector>)
set(STRAPLINE_PRECOMPILED_MODEL ${STRAPLINE_PRECOMPILED} <host/model/kit.hpp>)
set(STRAPLINE_PRECOMPILED_TESTS ${STRAPLINE_PRECOMPILED_MODEL} <doctest/doctest.h> <filesystem> <fstream> <sstream>)

# strapline_compile_rules(TARGET) sets what every target of ours is compiled with.
function(strapline_compile_rules target)
  if(STRAPLINE_FUZZ)
    # Warnings are g++'s to give: another compiler's are no errors of ours.
    target_compile_options(${target} PRIVATE -w -fsanitize=fuzzer-no-link,address,undefined -fno-sanitize-recover=all
      -fno-omit-frame-pointer)
    target_link_options(${target} PRIVATE -fsanitize=address,undefined)
    return()
  endif()
  target_compile_options(${target} PRIVATE ${STRAPLINE_WARNINGS})
  if(STRAPLINE_SANITIZE)
    target_compile_options(${target} PRIVATE -fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer)
    target_link_options(${target} PRIVATE -fsanitize=address,undefined)
  endif()
endfunction()

# strapline_optimise(TARGET) gives a target -O2 in development builds too.
function(strapline_optimise target)
  if(CMAKE_BUILD_TYPE STREQUAL "Debug" AND NOT STRAPLINE_SANITIZE AND NOT STRAPLINE_FUZZ)
    target_compile_options(${target} PRIVATE -O2)
  endif()
endfunction()

# strapline_precompiled(TARGET HEADERS [OPTIMISED] [USES ROOM…]) lets TARGET begin with what HEADERS, a variable's name,
# lists. The compiler takes a precompiled header only with the settings it was made with, so that there is one for each
# list and each optimisation.
function(strapline_precompiled target headers)
  cmake_parse_arguments(PRECOMPILED "OPTIMISED" "" "USES" ${ARGN})
  if(NOT STRAPLINE_PCH)
    return()
  endif()
  string(TOLOWER ${headers} holder)
  if(PRECOMPILED_OPTIMISED)
    string(APPEND holder _optimised)
  endif()
  if(NOT TARGET ${holder})
    file(WRITE ${CMAKE_BINARY_DIR}/${holder}.cpp "")
    add_library(${holder} OBJECT ${CMAKE_BINARY_DIR}/${holder}.cpp)
    target_link_libraries(${holder} PRIVATE ${PRECOMPILED_USES})
    strapline_compile_rules(${holder})
    if(PRECOMPILED_OPTIMISED)
      strapline_optimise(${holder})
    endif()
    target_precompile_headers(${holder} PRIVATE ${${headers}})
  endif()
  target_precompile_headers(${target} REUSE_FROM ${holder})
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
    set(optimised)
    if(ROOM_OPTIMISED)
      set(optimised OPTIMISED)
      strapline_optimise(${target})
    endif()
    if(ROOM_FREESTANDING)
      target_compile_options(${target} PRIVATE -fno-exceptions -fno-rtti)
    elseif("host/model" IN_LIST ROOM_USES)
      strapline_precompiled(${target} STRAPLINE_PRECOMPILED_MODEL ${optimised} USES host_model)
    else()
      strapline_precompiled(${target} STRAPLINE_PRECOMPILED ${optimised})
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
  if(NOT STRAPLINE_SANITIZE AND NOT STRAPLINE_FUZZ)
    target_link_options(${name} PRIVATE -static-libstdc++ -static-libgcc)
  endif()
endfunction()

# strapline_test(PATH SOURCES … [USES ROOM…] [LIBS …] [NEEDS PROGRAM…] [TIMEOUT S]) builds one doctest
# program for a room of tests/ and registers it with ctest under its path.
function(strapline_test path)
  cmake_parse_arguments(TEST "" "TIMEOUT" "SOURCES;USES;LIBS;NEEDS" ${ARGN})
  string(REPLACE "/" "_" stem ${path})
  string(REPLACE "/" "_" uses "${TEST_USES}")
  set(target test_${stem})
  add_executable(${target} ${TEST_SOURCES})
  target_link_libraries(${target} PRIVATE tests_support ${uses} ${TEST_LIBS})
  strapline_compile_rules(${target})
  strapline_precompiled(${target} STRAPLINE_PRECOMPILED_TESTS USES tests_support host_model)
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
