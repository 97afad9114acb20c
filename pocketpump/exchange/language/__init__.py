"""The languages besides English: ``locales`` reads the catalogues, ``code_of`` names a language."""
