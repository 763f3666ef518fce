//! The kind of room a device stood in, read from the words it was recorded with.
//!
//! The rule in words: a room counts by the words that name it, whatever stands around them: `bathroom upstairs`, `closet under
//! stairs`. Words after a comma, or after one that only places it (`from`, `near`, `under`, `above`, `beside`), name something
//! else; after a comma only what begins with `in` names the room. A sump is a room only where nothing else is named.
//!
//! Source: the rooms are those of Illinois 32 IAC 422.130 a) 1) D (read); how words are read is a design rule of this program.

use super::one_test::Room;

/// Words after which a text tells where a room lies, and no longer what it is.
const PLACING: [&str; 26] = [
    "from",
    "near",
    "nearest",
    "by",
    "beside",
    "besides",
    "next",
    "under",
    "underneath",
    "below",
    "beneath",
    "over",
    "above",
    "behind",
    "outside",
    "off",
    "opposite",
    "across",
    "between",
    "adjacent",
    "against",
    "towards",
    "to",
    "not",
    "with",
    "without",
];

/// Words that name a room, those first that take any test its validity.
const NAMED: [(Room, &[&str]); 8] = [
    (Room::CrawlSpace, &["crawl", "crawlspace", "crawlspaces"]),
    (Room::Closet, &["closet", "closets", "wardrobe"]),
    (Room::Cupboard, &["cupboard", "cupboards", "cabinet"]),
    (Room::Nook, &["nook", "alcove"]),
    (Room::Bathroom, &["bathroom", "bath", "toilet", "washroom", "restroom", "shower", "wc"]),
    (Room::Kitchen, &["kitchen", "kitchenette"]),
    (Room::Laundry, &["laundry"]),
    (Room::Spa, &["spa", "sauna"]),
];

impl Room {
    /// The kind of room that words name; a lived-in room where they name none of those that rules speak of.
    pub fn of_words(text: &str) -> Room {
        let text = text.to_lowercase();
        let mut naming: Vec<&str> = Vec::new();
        for (at, part) in text.split([',', ';', '(']).enumerate() {
            let mut words = part.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).peekable();
            if at == 0 || words.peek().is_some_and(|word| ["in", "inside"].contains(word)) {
                naming.extend(words.take_while(|word| !PLACING.contains(word)));
            }
        }
        let named = NAMED.iter().find(|(_, names)| naming.iter().any(|word| names.contains(word)));
        let is_sump = |word: &&str| ["sump", "pit", "in", "the", "a", "basement"].contains(word);
        match named {
            Some((room, _)) => *room,
            None if naming.contains(&"sump") && naming.iter().all(is_sump) => Room::Sump,
            None => Room::Lived,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Room;

    #[test]
    fn a_room_counts_by_the_words_that_name_it() {
        // Illinois 32 IAC 422.130 a) 1) D: not in a bathroom, kitchen, laundry, spa, closet, cupboard, sump, crawl space, nook.
        let cases = [
            ("bathroom upstairs", Room::Bathroom),
            ("Half bath", Room::Bathroom),
            ("closet under stairs", Room::Closet),
            ("basement, in the closet", Room::Closet),
            ("basement closet", Room::Closet),
            ("bathroom closet", Room::Closet),
            ("kitchen cupboard", Room::Cupboard),
            ("breakfast nook", Room::Nook),
            ("crawlspace", Room::CrawlSpace),
            ("Crawl-space, north end", Room::CrawlSpace),
            ("Laundry room, 2 ft from the sump pit", Room::Laundry),
            ("Kitchen", Room::Kitchen),
            ("spa", Room::Spa),
            ("in the sump pit", Room::Sump),
            ("sump", Room::Sump),
            ("sump room", Room::Lived),
            ("den, 10 ft from the sump", Room::Lived),
            ("bedroom above the crawl space", Room::Lived),
            ("hall next to the kitchen", Room::Lived),
            ("under the kitchen", Room::Lived),
            ("den", Room::Lived),
            ("Spare room", Room::Lived),
            ("", Room::Lived),
        ];
        for (text, room) in cases {
            assert_eq!(Room::of_words(text), room, "{text}");
        }
    }
}
