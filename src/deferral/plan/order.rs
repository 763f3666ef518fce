//! What comes before what: circles found, and a forest of the pairs by which sums over all choices stay simple.

/// Items in an order in which a parent stands before its children, each with its parent.
pub(super) struct Forest {
    pub order: Vec<usize>,
    pub parent: Vec<Option<Tie>>,
    /// Whether the item has a parent or children.
    pub tied: Vec<bool>,
}

/// How an item stands to its parent in the forest.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Tie {
    pub parent: usize,
    /// The parent is the one that comes first.
    pub parent_first: bool,
}

/// Pairs above which it is not asked which of them follow from others.
const LOOKED_AT: usize = 2000;

/// Items that wait for each other in a circle, in order, if there is one.
pub fn circle(items: usize, after: &[(usize, usize)]) -> Option<Vec<usize>> {
    let mut behind = vec![Vec::new(); items];
    after.iter().for_each(|&(a, b)| behind[a].push(b));
    // 0 not seen, 1 on the path, 2 done
    let mut state = vec![0_u8; items];
    for start in 0..items {
        let mut path: Vec<(usize, usize)> = Vec::new();
        if state[start] == 0 {
            state[start] = 1;
            path.push((start, 0));
        }
        while let Some(top) = path.last_mut() {
            let (item, next) = *top;
            top.1 += 1;
            match behind[item].get(next) {
                None => {
                    state[item] = 2;
                    path.pop();
                }
                Some(&other) if state[other] == 1 => {
                    let from = path.iter().position(|step| step.0 == other).unwrap_or(0);
                    return Some(path[from..].iter().map(|step| step.0).collect());
                }
                Some(&other) if state[other] == 0 => {
                    state[other] = 1;
                    path.push((other, 0));
                }
                Some(_) => {}
            }
        }
    }
    None
}

/// A forest of as many pairs as have no ring. A pair that follows from others is left out first: it is kept by those.
pub(super) fn forest(items: usize, after: &[(usize, usize)]) -> Forest {
    let mut behind = vec![Vec::new(); items];
    after.iter().for_each(|&(a, b)| behind[a].push(b));
    let mut root: Vec<usize> = (0..items).collect();
    let mut near: Vec<Vec<Tie>> = vec![Vec::new(); items];
    let looked_at = after.len() <= LOOKED_AT;
    let follows = |&(a, b): &(usize, usize)| looked_at && behind[a].len() > 1 && leads_round(&behind, a, b);
    let by_others: Vec<bool> = after.iter().map(follows).collect();
    for follows in [false, true] {
        for (&(a, b), _) in after.iter().zip(&by_others).filter(|(_, by_others)| **by_others == follows) {
            let (ra, rb) = (found(&mut root, a), found(&mut root, b));
            if ra != rb {
                root[ra] = rb;
                near[b].push(Tie { parent: a, parent_first: true });
                near[a].push(Tie { parent: b, parent_first: false });
            }
        }
    }
    let (mut order, mut parent, mut seen) = (Vec::with_capacity(items), vec![None; items], vec![false; items]);
    for start in 0..items {
        let mut open = vec![start];
        while let Some(item) = open.pop() {
            if std::mem::replace(&mut seen[item], true) {
                continue;
            }
            order.push(item);
            for tie in &near[item] {
                if !seen[tie.parent] {
                    parent[tie.parent] = Some(Tie { parent: item, parent_first: !tie.parent_first });
                    open.push(tie.parent);
                }
            }
        }
    }
    let tied = near.iter().map(|near| !near.is_empty()).collect();
    Forest { order, parent, tied }
}

/// Whether `b` comes behind `a` by way of others.
fn leads_round(behind: &[Vec<usize>], a: usize, b: usize) -> bool {
    let mut open: Vec<usize> = behind[a].iter().copied().filter(|&next| next != b).collect();
    let mut seen = std::collections::BTreeSet::new();
    while let Some(item) = open.pop() {
        if item == b {
            return true;
        }
        if seen.insert(item) {
            open.extend(&behind[item]);
        }
    }
    false
}

fn found(root: &mut [usize], mut item: usize) -> usize {
    while root[item] != item {
        root[item] = root[root[item]];
        item = root[item];
    }
    item
}

/// All items, none before one it comes behind.
pub(super) fn sequence(before: &[Vec<usize>], behind: &[Vec<usize>]) -> Vec<usize> {
    let mut waits: Vec<usize> = before.iter().map(Vec::len).collect();
    let mut order: Vec<usize> = (0..before.len()).filter(|&item| waits[item] == 0).collect();
    let mut at = 0;
    while let Some(&item) = order.get(at) {
        at += 1;
        for &other in &behind[item] {
            waits[other] -= 1;
            if waits[other] == 0 {
                order.push(other);
            }
        }
    }
    order
}
