//! The code by which an occurrence of a duty is named in a list, a mail or a calendar, and typed back.
//!
//! Four signs for the property and five for the occurrence, `3k7m-9qtx2`: from SHA-256 over the property's random identifier
//! and, for the second part, over the ledger's own random identifier, the property's, its subject, the duty, and the day by
//! which the rule has it. So the code of an occurrence stays the same when it is moved or snoozed, no two occurrences of a
//! property are likely to share one (1 in 33 million each), and nobody who has not seen the list can guess it, not even with
//! a dossier in hand, which names the property and not the ledger. The signs are Crockford's base 32, which has no i, l, o and u; what is
//! typed may have capitals, `o` for 0, `i` and `l` for 1, and no hyphen. The first sign is a digit, which no name begins with.
//!
//! ```
//! use stemwall::ledger::occurrence_code::typed;
//! assert_eq!(typed("3K7M 9QTX2"), typed("3k7m-9qtx2"));
//! assert_eq!(typed("elm-street"), None);
//! ```

use chrono::NaiveDate;
use sha2::{Digest, Sha256};
use uuid::Uuid;

const SIGNS: &[u8; 32] = b"0123456789abcdefghjkmnpqrstvwxyz";
/// Signs for the property, the first of them a digit.
const OF_PROPERTY: usize = 4;
/// Signs for the occurrence.
const OF_OCCURRENCE: usize = 5;

/// The part of the code that all occurrences of a property share.
pub fn of_property(property: Uuid) -> String {
    let hash = Sha256::new().chain_update(b"stemwall property\0").chain_update(property.as_bytes()).finalize();
    let first = char::from(b'0' + hash[0] % 10);
    std::iter::once(first).chain(signs(&hash[1..], OF_PROPERTY - 1)).collect()
}

/// The code of one occurrence; `subject` as it is stored, empty for the property itself.
pub fn code(ledger: Uuid, property: Uuid, subject: &str, duty: &str, occurs_on: NaiveDate) -> String {
    let mut hash = Sha256::new().chain_update(b"stemwall occurrence\0");
    hash.update(ledger.as_bytes());
    hash.update(property.as_bytes());
    for part in [subject, duty, &occurs_on.to_string()] {
        hash.update([0]);
        hash.update(part.as_bytes());
    }
    let of_occurrence: String = signs(&hash.finalize(), OF_OCCURRENCE).collect();
    format!("{}-{of_occurrence}", of_property(property))
}

/// A code as it was typed, as it is written; `None` for what is no code.
pub fn typed(text: &str) -> Option<String> {
    let read = |c: char| match c.to_ascii_lowercase() {
        'o' => '0',
        'i' | 'l' => '1',
        c => c,
    };
    let plain: String = text.chars().filter(|c| !matches!(c, '-' | ' ')).map(read).collect();
    let known = plain.bytes().all(|sign| SIGNS.contains(&sign));
    let first = text.starts_with(|c: char| c.is_ascii_digit());
    let whole = first && known && plain.len() == OF_PROPERTY + OF_OCCURRENCE;
    whole.then(|| format!("{}-{}", &plain[..OF_PROPERTY], &plain[OF_PROPERTY..]))
}

fn signs(bytes: &[u8], count: usize) -> impl Iterator<Item = char> + '_ {
    bytes.iter().take(count).map(|byte| char::from(SIGNS[usize::from(byte % 32)]))
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use chrono::{Days, NaiveDate};
    use uuid::Uuid;

    use super::{code, of_property, typed};

    fn day(offset: u64) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 1, 1).unwrap() + Days::new(offset)
    }

    #[test]
    fn a_code_is_the_same_for_the_same_and_another_for_another() {
        let id = Uuid::from_u128(7);
        assert_eq!(code(id, id, "fan", "radon-gauge-look", day(0)), code(id, id, "fan", "radon-gauge-look", day(0)));
        let mut codes = BTreeSet::new();
        for (ledger, property) in (0..40).map(|n| (Uuid::from_u128(n % 2), Uuid::from_u128(n / 2))) {
            for subject in ["", "fan", "fanr", "1"] {
                for duty in ["radon-gauge-look", "adon-gauge-look", "verdict"] {
                    codes.extend((0..20).map(|offset| code(ledger, property, subject, duty, day(offset))));
                }
            }
        }
        assert_eq!(codes.len(), 2 * 20 * 4 * 3 * 20);
    }

    #[test]
    fn a_code_begins_with_that_of_its_property_and_is_read_as_it_may_be_typed() {
        for property in 0..300 {
            let id = Uuid::from_u128(property);
            let code = code(Uuid::nil(), id, "", "termite-look", day(0));
            assert!(code.starts_with(&format!("{}-", of_property(id))), "{code}");
            assert_eq!(code.len(), 10, "{code}");
            for other in [code.to_uppercase(), code.replace('-', ""), code.replace('-', " "), code.replace('1', "l")] {
                // An `l` in the first place is no digit.
                let readable = other.starts_with(|c: char| c.is_ascii_digit());
                assert_eq!(typed(&other), readable.then(|| code.clone()), "{other}");
            }
        }
        for bad in ["", "termite-look", "elm/pump", "2", "12345678", "3k7m-9qtx2z", "3u7m-9qtx2", "é3k7m-9qt"] {
            assert_eq!(typed(bad), None, "{bad}");
        }
    }
}
