-- `verify`: tables with a row that refers to nothing, each once. Every look-up goes through the key referred to.
SELECT DISTINCT "table" FROM pragma_foreign_key_check
