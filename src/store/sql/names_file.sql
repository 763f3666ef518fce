-- Erasure and refusal: whether any body names a file. A scan of the bodies; both are rare.
SELECT EXISTS (SELECT 1 FROM bodies WHERE instr(body, ?1) > 0)
