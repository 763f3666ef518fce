-- `verify`: all rows of `radon_test_rows` of one property, in the order of the primary key, which serves it.
SELECT chain, seq, section, device, typed, below, pci_l, bq_m3, started, ended, hours, closed, room, level, placed_by, lab, beside, valid, problems, file_label, file_line FROM radon_test_rows WHERE chain = ?1 ORDER BY chain, seq
