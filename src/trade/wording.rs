//! What a rule found, in words that are written only when somebody reads them.
//!
//! A ledger computes a verdict whenever anything is recorded and keeps of it the band, the day and the next step; the texts
//! of the rules behind it are read on a screen or in a dossier, if at all. A wording is a text all the same: it compares,
//! prints and serializes as one.

use std::fmt;
use std::ops::Deref;
use std::sync::LazyLock;

use serde::{Serialize, Serializer};

/// A text, or what writes it.
pub struct Wording(Kept);

enum Kept {
    Written(String),
    Later(Box<LazyLock<String, Writer>>),
}

type Writer = Box<dyn FnOnce() -> String + Send>;

impl Wording {
    /// A text that is written when it is read for the first time, from what the writer took with it.
    pub fn later(write: impl FnOnce() -> String + Send + 'static) -> Wording {
        Wording(Kept::Later(Box::new(LazyLock::new(Box::new(write)))))
    }

    /// The text changed, once it is read.
    pub fn then(self, change: impl FnOnce(String) -> String + Send + 'static) -> Wording {
        Wording::later(move || change(String::from(self)))
    }
}

impl From<String> for Wording {
    fn from(text: String) -> Wording {
        Wording(Kept::Written(text))
    }
}

impl From<&str> for Wording {
    fn from(text: &str) -> Wording {
        Wording(Kept::Written(text.to_owned()))
    }
}

impl From<Wording> for String {
    fn from(wording: Wording) -> String {
        match wording.0 {
            Kept::Written(text) => text,
            Kept::Later(later) => String::clone(&later),
        }
    }
}

impl Deref for Wording {
    type Target = str;

    fn deref(&self) -> &str {
        match &self.0 {
            Kept::Written(text) => text,
            Kept::Later(later) => later,
        }
    }
}

impl Clone for Wording {
    fn clone(&self) -> Wording {
        Wording::from(&**self)
    }
}

impl PartialEq for Wording {
    fn eq(&self, other: &Wording) -> bool {
        **self == **other
    }
}

impl PartialEq<&str> for Wording {
    fn eq(&self, other: &&str) -> bool {
        **self == **other
    }
}

impl fmt::Display for Wording {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self)
    }
}

impl fmt::Debug for Wording {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Debug::fmt(&**self, f)
    }
}

impl Serialize for Wording {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.serialize_str(self)
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;
    use std::sync::atomic::{AtomicU32, Ordering};

    use super::Wording;

    #[test]
    fn it_is_written_once_and_only_when_it_is_read() {
        let written = Arc::new(AtomicU32::new(0));
        let count = Arc::clone(&written);
        let wording = Wording::later(move || {
            count.fetch_add(1, Ordering::Relaxed);
            "width 8 mm".to_owned()
        });
        let wording = wording.then(|text| format!("{text}, read 1 Jun 2025"));
        assert_eq!(written.load(Ordering::Relaxed), 0);
        assert_eq!(
            (wording.to_string(), wording.clone()),
            (wording.to_string(), Wording::from("width 8 mm, read 1 Jun 2025"))
        );
        assert_eq!(written.load(Ordering::Relaxed), 1);
        assert_eq!(serde_json::to_string(&wording).unwrap(), "\"width 8 mm, read 1 Jun 2025\"");
    }
}
