# What is installed, and the Debian package: cmake --build build --target package
include(GNUInstallDirs)
install(TARGETS pivotfix RUNTIME DESTINATION ${CMAKE_INSTALL_BINDIR})
install(FILES ${CMAKE_BINARY_DIR}/documents/pivotfix.1.gz DESTINATION ${CMAKE_INSTALL_MANDIR}/man1)
install(FILES ${CMAKE_BINARY_DIR}/documents/pivotfix.bash RENAME pivotfix
        DESTINATION ${CMAKE_INSTALL_DATADIR}/bash-completion/completions)
install(FILES README.md DESTINATION ${CMAKE_INSTALL_DOCDIR})
install(FILES LICENSE RENAME copyright DESTINATION ${CMAKE_INSTALL_DOCDIR})
install(DIRECTORY docs DESTINATION ${CMAKE_INSTALL_DOCDIR})

set(CPACK_GENERATOR DEB)
set(CPACK_PACKAGE_NAME pivotfix)
set(CPACK_PACKAGE_CONTACT "The pivotfix developers <pivotfix@localhost>")
set(CPACK_PACKAGE_DESCRIPTION_SUMMARY "suspension pivots from photos, and advice on rod-end spacers")
set(CPACK_DEBIAN_PACKAGE_DESCRIPTION
    "pivotfix finds the pivots of a car's front corner from photographs of printed\ntags, tells how far lower arm and steering link are out of step, and which\nspacers to move at the outer rod end.")
set(CPACK_DEBIAN_PACKAGE_SECTION science)
set(CPACK_DEBIAN_FILE_NAME DEB-DEFAULT)
set(CPACK_DEBIAN_PACKAGE_SHLIBDEPS ON) # by dpkg-shlibdeps, from what the program is linked with
set(CPACK_STRIP_FILES ON)
set(CPACK_PACKAGING_INSTALL_PREFIX /usr)
include(CPack)
