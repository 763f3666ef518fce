//! The page of a dossier in a browser, looked at by axe-core, which knows what keeps people from reading a page.

use std::path::{Path, PathBuf};
use std::process::Command;

use serde_json::Value;

use crate::dossier::house;
use crate::export::demo;
use crate::world::{World, python};

/// The script of axe-core, out of the library that brings it along.
fn axe() -> String {
    let program = "import importlib.util, os\n\
                   print(os.path.join(importlib.util.find_spec('axe_playwright_python').submodule_search_locations[0], 'axe.min.js'))";
    let said = Command::new(python()).args(["-c", program]).output().unwrap();
    let path = String::from_utf8(said.stdout).unwrap();
    std::fs::read_to_string(path.trim()).unwrap()
}

fn browser() -> PathBuf {
    let path = std::env::var_os("PATH").unwrap_or_default();
    let there = |name: &str| std::env::split_paths(&path).map(|folder| folder.join(name)).find(|file| file.is_file());
    let names = ["chromium", "chromium-browser", "google-chrome"];
    names.into_iter().find_map(there).expect("a browser is there")
}

/// The names of the rules that a page breaks, in a page that may run the script: what it says of itself forbids any.
fn broken(world: &World, page: &str, axe: &str) -> Vec<String> {
    let (before, rest) = page.split_once("<meta http-equiv=\"Content-Security-Policy\"").unwrap();
    let (_, after) = rest.split_once('>').unwrap();
    let run = "axe.run(document).then(found => document.documentElement.setAttribute('data-found', \
               JSON.stringify([found.passes.length, found.violations.map(one => one.id + ': ' + one.nodes.map(n => n.html).join(' '))])))";
    let scripts = format!("<script>{}</script><script>{run}</script>", axe.replace("</script", "<\\/script"));
    let file = world.file("looked-at.html", format!("{before}{after}").replace("</body>", &(scripts + "</body>")));
    let address = format!("file://{}", Path::new(&file).canonicalize().unwrap().display());
    let profile = tempfile::tempdir().unwrap();
    let shown = Command::new("timeout")
        .arg("120")
        .arg(browser())
        .args(["--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"])
        .args(["--virtual-time-budget=60000", "--dump-dom"])
        .arg(format!("--user-data-dir={}", profile.path().display()))
        .arg(address)
        .output()
        .unwrap();
    let shown = String::from_utf8_lossy(&shown.stdout).into_owned();
    let (_, found) = shown.split_once(" data-found=\"").expect("axe-core has looked");
    let (found, _) = found.split_once('"').unwrap();
    let found = found.replace("&quot;", "\"").replace("&lt;", "<").replace("&gt;", ">").replace("&amp;", "&");
    let found: Value = serde_json::from_str(&found).unwrap();
    // As many rules as there are for a page of tables, pictures and links.
    assert!(found[0].as_u64().unwrap() > 20, "{found}");
    found[1].as_array().unwrap().iter().map(|one| one.as_str().unwrap().to_owned()).collect()
}

#[test]
fn browser_shows_nothing_that_keeps_people_from_reading_it() {
    let axe = axe();
    let (small, demo) = (house(), demo());
    for (world, key) in [(&small, "elm"), (&demo, "larkspur-14"), (&demo, "tannery-3")] {
        let name = format!("{key}.html");
        world.run(&["dossier", key, "--private", "--costs", "--out", &name]).ok();
        let page = std::fs::read_to_string(world.path(&name)).unwrap();
        assert_eq!(broken(world, &page, &axe), Vec::<String>::new(), "{key}");
    }
    // It would find something.
    let page = std::fs::read_to_string(small.path("elm.html")).unwrap();
    let found = broken(&small, &page.replacen(" alt=", " data-alt=", 1), &axe);
    assert!(found.len() == 1 && found[0].starts_with("image-alt: <img"), "{found:?}");
}
