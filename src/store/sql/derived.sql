-- Opening: what the derived rows were computed with.
SELECT outlook_version, settings_head FROM derived
