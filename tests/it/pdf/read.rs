//! What other people's readers of PDF make of a dossier: qpdf and poppler.

use std::collections::BTreeMap;
use std::path::Path;
use std::process::Command;

use stemwall::dossier::proof::check;

use super::with::written;
use crate::dossier::house;
use crate::export::demo;
use crate::world::World;

fn ran(program: &str, args: &[&str], file: &Path) -> String {
    let output = Command::new(program).args(args).arg(file).output().unwrap_or_else(|e| panic!("{program}: {e}"));
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(output.status.success(), "{program} {args:?}: {said}{}", String::from_utf8_lossy(&output.stderr));
    said
}

#[test]
fn other_peoples_readers_find_it_whole_and_open_to_who_hears_it() {
    let world = house();
    written(&world, "d.pdf", &["--costs", "--private"]);
    let file = world.path("d.pdf");
    assert!(ran("qpdf", &["--check"], &file).contains("No syntax or stream encoding errors found"));
    let info = ran("pdfinfo", &[], &file);
    for line in [
        "Title:           History of elm: Elm Street",
        "CreationDate:    Sun Mar  1 00:00:00 2026 UTC",
        "Tagged:          yes",
        "JavaScript:      no",
        "Encrypted:       no",
        "Page size:       612 x 792 pts (letter)",
    ] {
        assert!(info.contains(line), "{line}\n{info}");
    }
    // A reader of tags finds headings, tables with heads, lists, and what each picture is instead of it.
    let tags = ran("pdfinfo", &["-struct-text"], &file);
    for tag in ["Document", "H1", "H2", "H3", "Table", "Caption", "TR", "TH", "TD", "L (block)", "Figure", "Link"] {
        assert!(tags.lines().any(|line| line.trim_start().starts_with(tag)), "no {tag}:\n{tags}");
    }
    let fonts = ran("pdffonts", &[], &file);
    let fonts: Vec<&str> = fonts.lines().skip(2).collect();
    assert!(fonts.len() > 1 && fonts.iter().all(|font| font.contains(" yes yes yes ")), "{fonts:#?}");
}

/// ISO 19005-3 (6.6.4, 6.2.3, 6.8) and ISO 14289-1 (5, 7.1, 7.2): what a file says of itself, and has to hold.
#[test]
fn the_marks_of_an_archived_file_stand_in_it() {
    let world = house();
    written(&world, "d.pdf", &[]);
    let file = world.path("d.pdf");
    let marks = ran("pdfinfo", &["-meta"], &file);
    for mark in [
        "<pdfaid:part>3</pdfaid:part>",
        "<pdfaid:conformance>B</pdfaid:conformance>",
        "<pdfuaid:part>1</pdfuaid:part>",
        "History of elm: Elm Street",
        "2026-03-01",
    ] {
        assert!(marks.contains(mark), "{mark}\n{marks}");
    }
    let objects: serde_json::Value = serde_json::from_str(&ran("qpdf", &["--json=2"], &file)).unwrap();
    let objects: BTreeMap<String, serde_json::Value> =
        serde_json::from_value(objects["qpdf"][1].clone()).expect("a table of objects");
    let of = |reference: &serde_json::Value| {
        let object = &objects[&format!("obj:{}", reference.as_str().expect("a reference"))];
        object.get("value").or_else(|| object["stream"].get("dict")).cloned().expect("a value or a stream")
    };
    let root = of(&objects["trailer"]["value"]["/Root"]);
    assert_eq!(root["/MarkInfo"]["/Marked"], true);
    assert_eq!(root["/Lang"], "u:en-US");
    assert_eq!(root["/ViewerPreferences"]["/DisplayDocTitle"], true);
    assert!(root["/StructTreeRoot"].is_string() && root["/Outlines"].is_string(), "{root}");
    let intents =
        if root["/OutputIntents"].is_string() { of(&root["/OutputIntents"]) } else { root["/OutputIntents"].clone() };
    let intent = if intents[0].is_string() { of(&intents[0]) } else { intents[0].clone() };
    assert_eq!(intent["/S"], "/GTS_PDFA1");
    let attached = of(&root["/AF"][0]);
    assert_eq!((&attached["/AFRelationship"], &attached["/UF"]), (&"/Data".into(), &"u:dossier.json".into()));
    assert_eq!(of(&attached["/EF"]["/F"])["/Subtype"], "/application/json");
    for never in ["/JavaScript", "/Launch", "/Encrypt", "/URI", "/OpenAction"] {
        assert!(!objects.values().any(|object| object.to_string().contains(never)), "{never}");
    }
}

#[test]
fn what_is_attached_is_the_json() {
    let world = house();
    for more in [&[][..], &["--costs", "--private"], &["--since", "2025-03-01", "--leave-out", "elm#4"]] {
        written(&world, "d.pdf", more);
        let json = written(&world, "d.json", more);
        let taken = world.path("taken.json");
        let args = ["-save", "1", "-o", taken.to_str().unwrap()];
        ran("pdfdetach", &args, &world.path("d.pdf"));
        assert_eq!(std::fs::read(&taken).unwrap(), json);
        world.run(&["verify", "d.pdf"]).ok();
        for name in ["d.pdf", "d.json", "taken.json"] {
            std::fs::remove_file(world.path(name)).unwrap();
        }
    }
}

/// The letters of a page of HTML that are seen, without spaces: lines are broken elsewhere in a PDF.
fn letters_of_page(html: &str) -> String {
    let (_, body) = html.split_once("<body>").unwrap();
    let (body, _) = body.split_once("<script").unwrap();
    let (before, after) = body.split_once("<nav").unwrap();
    let (_, after) = after.split_once("</nav>").unwrap();
    let mut out = String::new();
    let mut hidden = false;
    for piece in [before, after].concat().split('<') {
        let (tag, text) = piece.split_once('>').unwrap_or(("", piece));
        // What stands before a line of a list, and what a picture says to who hears it.
        out.push_str(if tag == "li" { "•" } else { "" });
        hidden = hidden && !["/title", "/desc"].contains(&tag) || tag.starts_with("title ") || tag.starts_with("desc ");
        if !hidden {
            out.push_str(text);
        }
    }
    let out = out.replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"").replace("&amp;", "&");
    out.split_whitespace().collect()
}

/// The heads of its tables, in the same way.
fn heads_of_page(html: &str) -> Vec<String> {
    let heads = html.split("<thead>").skip(1).map(|after| after.split_once("</thead>").unwrap().0);
    heads
        .map(|head| head.split('<').filter_map(|p| p.split_once('>')).flat_map(|(_, t)| t.split_whitespace()).collect())
        .collect()
}

/// The letters of a PDF in the order in which it says them, between the margins; the head of a table that goes on
/// over a page stands there once more, and is left out here.
fn letters_of_pdf(file: &Path, heads: &[String]) -> String {
    let margins = ["-raw", "-enc", "UTF-8", "-x", "0", "-y", "0", "-W", "612", "-H", "738"];
    let output = Command::new("pdftotext").args(margins).arg(file).arg("-").output().expect("pdftotext runs");
    assert!(output.status.success());
    let pages = String::from_utf8(output.stdout).unwrap();
    let letters = pages.split('\u{c}').map(|page| page.split_whitespace().collect::<String>());
    letters
        .map(|page| {
            let again = heads.iter().filter_map(|head| page.strip_prefix(head.as_str())).next();
            again.map_or(page.clone(), str::to_owned)
        })
        .collect()
}

#[track_caller]
fn says_the_same(world: &World, more: &[&str]) -> String {
    written(world, "same.pdf", more);
    let html = String::from_utf8(written(world, "same.html", more)).unwrap();
    let page = letters_of_page(&html);
    let pdf = letters_of_pdf(&world.path("same.pdf"), &heads_of_page(&html));
    if page != pdf {
        let at = page.chars().zip(pdf.chars()).take_while(|(a, b)| a == b).count().saturating_sub(40);
        let cut = |text: &str| text.chars().skip(at).take(120).collect::<String>();
        panic!("the page says `{}`, the PDF `{}`", cut(&page), cut(&pdf));
    }
    page
}

#[test]
fn it_says_what_the_page_says() {
    let world = house();
    let said = says_the_same(&world, &[]);
    for word in ["•main:basement,blockwalls", "finding1:widthovertime", "Photographwall.png", "importhashlib,json"] {
        assert_eq!(said.contains(word), !word.starts_with("Photograph"), "{word}: {said}");
    }
}

/// The invented houses of `demo`, with tables over several pages, charts and pictures.
#[test]
fn it_says_what_the_page_says_of_every_house_of_the_demo() {
    let world = demo();
    for (key, more) in [
        ("larkspur-14", &["--costs", "--private"][..]),
        ("tannery-3", &[]),
        ("heron-22", &["--since", "2024-06-01"]),
        ("chapel-9", &[]),
    ] {
        let mut files = Vec::new();
        for form in ["pdf", "html"] {
            let out = format!("{key}.{form}");
            world.run(&[&["dossier", key, "--out", &out], more].concat()).ok();
            files.push(world.path(&out));
        }
        let html = std::fs::read_to_string(&files[1]).unwrap();
        assert!(letters_of_page(&html) == letters_of_pdf(&files[0], &heads_of_page(&html)), "{key}");
        world.run(&["verify", &format!("{key}.pdf")]).ok();
    }
}

/// Words that mean something to the typesetter, and words that no line and no font can hold.
#[test]
fn words_of_the_ledger_are_never_markup() {
    let world = house();
    let long = "0123456789".repeat(40);
    for note in [
        "#panic(\"x\") *bold* _emph_ $x^2$ `raw` <short> @short // gone /* gone */ \\u{41} -- --- ... ~ = head",
        "#import \"/dossier.json\" #read(\"/etc/passwd\") [x] {y} \\ + 1. / term: it's \"quoted\"",
        &long,
        "Größe naïve стена τοίχος ½ ≤ 5 °C fi ffl",
    ] {
        world.run(&["note", "add", "elm/1", note]).ok();
    }
    let said = says_the_same(&world, &[]);
    for kept in ["#panic(\"x\")*bold*_emph_$x^2$`raw`<short>@short//gone/*gone*/\\u{41}-----...~=head", &long, "ffl"] {
        assert!(said.contains(kept), "{kept}");
    }
}

#[test]
fn a_letter_that_no_font_has_is_shown_by_its_number() {
    let world = house();
    for note in [
        "中文 wall 🏠",
        "a\u{e000}b",
        "\u{5e9}\u{5dc}\u{5d5}\u{5dd} e\u{301} q\u{30c}\u{323} \u{639}\u{631}",
        "x\u{ad}y\u{a0}z",
    ] {
        world.run(&["note", "add", "elm/1", note]).ok();
    }
    let pdf = written(&world, "d.pdf", &[]);
    let said = letters_of_pdf(&world.path("d.pdf"), &[]);
    for shown in ["\\u{4e2d}\\u{6587}wall\\u{1f3e0}", "a\\u{e000}b"] {
        assert!(said.contains(shown), "{shown}\n{said}");
    }
    assert!(check(&pdf, None).is_ok());
}

#[test]
fn a_link_leads_to_what_is_shown() {
    let world = house();
    written(&world, "d.pdf", &["--since", "2025-03-01"]);
    let said = letters_of_pdf(&world.path("d.pdf"), &[]);
    assert!(said.contains("4entriesfrombefore1Mar2025arenotlistedhere"), "{said}");
    assert!(ran("qpdf", &["--check"], &world.path("d.pdf")).contains("No syntax"));
}

#[test]
fn what_is_private_or_costs_stays_out_of_it() {
    let world = house();
    written(&world, "d.pdf", &[]);
    let said = letters_of_pdf(&world.path("d.pdf"), &[]);
    for secret in ["quarrel", "$350", "Brook", "1450"] {
        assert!(!said.contains(secret), "{secret}");
    }
    assert!(said.contains("lot7") && said.contains("leftout:markedprivate"), "{said}");
    assert!(world.run(&["verify", "d.pdf"]).ok().contains("left out: 3 bodies; told in part, which no hash proves: 1"));
}

/// An archived file may hold no inks without a description of the press; they are shown in the colours of a screen.
#[test]
fn a_photograph_in_four_inks_is_shown_in_three_colours() {
    let world = World::with_crack();
    world.file("inks.jpg", include_bytes!("../../data/inks.jpg"));
    world.run(&["reading", "add", "elm/1", "--width", "0.8 mm", "--on", "2024-02-01", "--photo", "inks.jpg"]).ok();
    let pdf = written(&world, "d.pdf", &[]);
    assert!(check(&pdf, None).is_ok());
    let shown = ran("pdfimages", &["-list"], &world.path("d.pdf"));
    let shown: Vec<&str> = shown.lines().skip(2).collect();
    // Page, number, kind, width, height, colours, components.
    let words: Vec<&str> = shown.first().expect("a picture").split_whitespace().take(7).collect();
    assert_eq!((shown.len(), &words[2..]), (1, &["image", "8", "8", "icc", "3"][..]), "{shown:?}");
}
