-- `finding list`: by key, then number; ?1 names one chain or is null, ?2 = 1 leaves the closed out.
SELECT p.key, f.number, f.kind, f.place, f.section, f.opened_on, f.closed_on, o.band, f.readings, f.last_read_on, f.last_read,
    f.chain
FROM finding_rows f JOIN properties p ON p.chain = f.chain
LEFT JOIN outlook o ON o.chain = f.chain AND o.subject = CAST(f.number AS TEXT)
WHERE (?1 IS NULL OR f.chain = ?1) AND (?2 = 0 OR f.closed_on IS NULL) AND (?1 IS NOT NULL OR p.archived_on IS NULL)
ORDER BY p.key, f.number
