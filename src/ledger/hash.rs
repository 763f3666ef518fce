//! SHA-256 as the chain uses it: 32 bytes, written as 64 lower-case hex digits.

use std::fmt;

use serde::{Deserialize, Deserializer, Serialize, Serializer, de};
use sha2::{Digest, Sha256};

/// A SHA-256 digest (FIPS 180-4).
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Hash([u8; 32]);

impl Hash {
    /// What stands before the first entry of a chain: 64 zeros.
    pub const START: Hash = Hash([0; 32]);

    /// The digest of `bytes`.
    pub fn of(bytes: &[u8]) -> Hash {
        Hash(Sha256::digest(bytes).into())
    }

    pub fn from_bytes(bytes: [u8; 32]) -> Hash {
        Hash(bytes)
    }

    pub fn as_bytes(&self) -> &[u8; 32] {
        &self.0
    }

    /// Reads 64 lower-case hex digits; `None` for anything else, since a chain has one spelling only.
    pub fn from_hex(text: &str) -> Option<Hash> {
        let text: &[u8; 64] = text.as_bytes().try_into().ok()?;
        let mut out = [0; 32];
        for (byte, pair) in out.iter_mut().zip(text.chunks_exact(2)) {
            *byte = nibble(pair[0])? << 4 | nibble(pair[1])?;
        }
        Some(Hash(out))
    }

    /// Hex digits, without going through a formatter: every entry of every chain is written with this.
    pub fn to_hex(self) -> String {
        const DIGITS: &[u8; 16] = b"0123456789abcdef";
        self.0.iter().flat_map(|b| [DIGITS[usize::from(b >> 4)], DIGITS[usize::from(b & 15)]]).map(char::from).collect()
    }
}

fn nibble(digit: u8) -> Option<u8> {
    match digit {
        b'0'..=b'9' => Some(digit - b'0'),
        b'a'..=b'f' => Some(digit - b'a' + 10),
        _ => None,
    }
}

impl fmt::Display for Hash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.to_hex())
    }
}

impl fmt::Debug for Hash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Hash({self})")
    }
}

impl Serialize for Hash {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.serialize_str(&self.to_hex())
    }
}

impl<'de> Deserialize<'de> for Hash {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Hash, D::Error> {
        let text = std::borrow::Cow::<str>::deserialize(d)?;
        Hash::from_hex(&text).ok_or_else(|| de::Error::custom("a hash is 64 lower-case hex digits"))
    }
}

#[cfg(test)]
mod tests {
    use super::Hash;

    #[test]
    fn the_digest_is_the_one_of_the_standard() {
        // FIPS 180-4, example "abc".
        let abc = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(Hash::of(b"abc").to_hex(), abc);
        assert_eq!(Hash::from_hex(abc), Some(Hash::of(b"abc")));
    }

    #[test]
    fn a_hash_has_one_spelling() {
        assert_eq!(Hash::from_hex(&"A".repeat(64)), None);
        assert_eq!(Hash::from_hex(&"0".repeat(63)), None);
        assert_eq!(Hash::from_hex(&"0".repeat(64)), Some(Hash::START));
    }
}
