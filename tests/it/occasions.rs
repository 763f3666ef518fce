//! What falls due on an occasion: the end of a warranty, a storm; and what to mind where it is done.

use serde_json::Value;

use crate::world::World;

fn due(world: &World) -> Vec<Value> {
    world.run(&["due", "--within", "2y", "--json", "--all"]).json().as_array().unwrap().clone()
}

fn of(world: &World, subject: &str, duty: &str) -> Vec<Value> {
    due(world).into_iter().filter(|d| d["subject"] == subject && d["duty"] == duty).collect()
}

fn days(world: &World, subject: &str, duty: &str) -> Vec<String> {
    of(world, subject, duty).iter().map(|d| d["due_on"].as_str().unwrap().to_owned()).collect()
}

#[test]
fn each_warranty_ends_on_a_day_of_its_own_and_is_done_by_itself() {
    let world = World::with_crack();
    for until in ["2026-03-20", "2026-03-25"] {
        let repair = ["repair", "add", "elm/1", "--method", "patch", "--on", "2025-12-01", "--warranty-until", until];
        world.run(&repair).ok();
    }
    assert_eq!(days(&world, "elm/1", "warranty-ends"), ["2026-03-20", "2026-03-25"]);
    // The second is done by its code while the first stands.
    let second = of(&world, "elm/1", "warranty-ends")[1]["code"].as_str().unwrap().to_owned();
    world.run(&["done", &second]).ok();
    assert_eq!(days(&world, "elm/1", "warranty-ends"), ["2026-03-20"]);
    world.run(&["done", "warranty-ends"]).ok();
    assert!(days(&world, "elm/1", "warranty-ends").is_empty());
    world.run(&["verify"]).ok();

    // In a calendar each has a name that stays when the other is done.
    let world = World::with_crack();
    for until in ["2026-03-20", "2026-03-25"] {
        let repair = ["repair", "add", "elm/1", "--method", "patch", "--on", "2025-12-01", "--warranty-until", until];
        world.run(&repair).ok();
    }
    let uids = |world: &World| {
        let text = world.run(&["due", "--ics", "-"]).ok().replace("\r\n ", "");
        let of_warranty = text
            .split("BEGIN:VTODO")
            .filter(|part| part.lines().any(|line| line.starts_with("SUMMARY:") && line.contains("under warranty")));
        let uid = |part: &str| part.lines().find(|line| line.starts_with("UID:")).unwrap().to_owned();
        of_warranty.map(uid).collect::<Vec<_>>()
    };
    let before = uids(&world);
    assert_eq!(before.len(), 2);
    let first = of(&world, "elm/1", "warranty-ends")[0]["code"].as_str().unwrap().to_owned();
    world.run(&["done", &first]).ok();
    assert_eq!(uids(&world), [before[1].clone()]);
}

#[test]
fn whatever_is_done_in_a_crawl_space_has_its_cautions_beside_it() {
    let world = World::with_house();
    world.run(&["section", "add", "elm/cs", "--foundation", "crawl-space"]).ok();
    let crack = ["finding", "open", "elm", "--kind", "crack", "--place", "pier wall", "--on", "2026-02-01"];
    world.run(&[&crack[..], &["--in", "cs"]].concat()).ok();
    world.run(&[&crack[..], &["--in", "main"]].concat()).ok();
    world.run(&["reading", "add", "elm/1", "--width", "0.5 mm", "--on", "2026-02-01"]).ok();
    world.run(&["reading", "add", "elm/2", "--width", "0.5 mm", "--on", "2026-02-01"]).ok();
    world.run(&["duty", "set", "hatch", "--at", "elm/cs", "--every", "1y", "--title", "oil the hatch"]).ok();
    let cautions = |subject: &str, duty: &str| {
        let row = of(&world, subject, duty).remove(0);
        row["cautions"].as_array().unwrap().iter().map(|c| c.as_str().unwrap().to_owned()).collect::<Vec<_>>()
    };
    for (subject, duty) in [("elm/1", "reading"), ("elm/cs", "hatch"), ("elm/cs", "look-under-the-floor")] {
        let all = cautions(subject, duty);
        assert_eq!(all.len(), 4, "{all:?}");
        assert!(
            all[0].starts_with("a crawl space is a confined space") && all[1].starts_with("do not go alone"),
            "{all:?}"
        );
    }
    assert!(cautions("elm/2", "reading").is_empty());
    world.run(&["verify"]).ok();
}
