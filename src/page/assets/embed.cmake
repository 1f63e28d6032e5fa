# SPDX-License-Identifier: Apache-2.0
# cmake -D OUTPUT=... -D STYLES=a;b -D SCRIPTS=a;b -D LIBRARY=a;b -D LICENCE=file -P embed.cmake
# Writes page_files.cc: style sheet and scripts as C++ raw strings. A script must be fit for a page that is
# both HTML and XML, hence the CDATA marks and what must not occur.
cmake_minimum_required(VERSION 3.25)

function(joined result)
  set(text "")
  foreach(file ${ARGN})
    file(READ ${file} content)
    string(APPEND text "${content}\n")
  endforeach()
  set(${result} "${text}" PARENT_SCOPE)
endfunction()

function(as_script result text)
  foreach(mark "</script" "<!--" "]]>" ")embedded\"")
    string(FIND "${text}" "${mark}" at)
    if(NOT at EQUAL -1)
      message(FATAL_ERROR "A script holds ${mark}, which would end it within the page.")
    endif()
  endforeach()
  set(${result} "\n//<![CDATA[\n${text}//]]>\n" PARENT_SCOPE)
endfunction()

function(as_cpp result name text)
  set(${result} "std::string_view ${name}() {\n  return std::string_view(R\"embedded(${text})embedded\");\n}\n" PARENT_SCOPE)
endfunction()

joined(style ${STYLES})
joined(page ${SCRIPTS})
as_script(page "\"use strict\";\n(() => {\n${page}})();\n")
joined(library ${LIBRARY})
file(READ ${LICENCE} licence)
as_script(library "/*\n${licence}*/\n${library}")

set(code "// Made by embed.cmake from the files of src/page/assets; do not edit.\n#include \"page/page_files.h\"\n
namespace pivotfix::report {\n\n")
as_cpp(function page_style "${style}")
string(APPEND code "${function}\n")
as_cpp(function page_script "${page}")
string(APPEND code "${function}\n")
as_cpp(function library_script "${library}")
string(APPEND code "${function}\n")
foreach(part page library)
  string(SHA256 digest "${${part}}")
  as_cpp(function ${part}_script_sha256 "${digest}")
  string(APPEND code "${function}\n")
endforeach()
file(WRITE ${OUTPUT} "${code}}  // namespace pivotfix::report\n")
