"""The words of other languages: what is to be translated, and the catalogues.

A catalogue is LANGUAGE.po beside this file, as gettext has it, sorted by the English.
GLOSSARY.md says which word stands for which thing.
"""
