-- The projection, for every row of `radon_test_rows` that an entry touches. Served by the primary key.
INSERT OR REPLACE INTO radon_test_rows (chain, seq, section, device, typed, below, pci_l, bq_m3, started, ended, hours, closed, room, level, placed_by, lab, beside, valid, problems, file_label, file_line)
VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17, ?18, ?19, ?20, ?21)
