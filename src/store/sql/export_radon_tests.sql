-- `export csv`: radon tests of one chain or of all, in the order of the primary key, which serves it.
SELECT p.key AS property, t.seq, t.section, t.device, t.typed, t.below, t.pci_l, t.bq_m3, t.started, t.ended, t.hours, t.closed, t.room,
    t.level, t.placed_by, t.lab, t.beside, t.valid, t.problems, t.file_label, t.file_line,
    s.said_by AS by, s.note, s.private, s.corrected_by
FROM radon_test_rows t JOIN properties p USING (chain) JOIN said s USING (chain, seq)
WHERE t.chain BETWEEN ?1 AND ?2 ORDER BY t.chain, t.seq
