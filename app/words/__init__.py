"""The words of other languages: what is to be translated, and the catalogues.

A catalogue is LANGUAGE.json beside this file: {English template: the same in that language},
sorted, one line each. GLOSSARY.md says which word stands for which thing.
"""
