//! Counts of pairs in a list, in n log n: what Mann-Kendall and Theil-Sen are made of.

/// Number of pairs i < j with `values[i] > values[j]`. Leaves `values` sorted; `spare` is room to work in.
pub(super) fn count_falling(values: &mut [f64], spare: &mut Vec<f64>) -> u64 {
    if values.len() < 2 {
        return 0;
    }
    let (left, right) = values.split_at_mut(values.len() / 2);
    let mut falling = count_falling(left, spare) + count_falling(right, spare);
    spare.clear();
    let (mut i, mut j) = (0, 0);
    while i < left.len() && j < right.len() {
        if right[j] < left[i] {
            falling += (left.len() - i) as u64;
            spare.push(right[j]);
            j += 1;
        } else {
            spare.push(left[i]);
            i += 1;
        }
    }
    spare.extend_from_slice(&left[i..]);
    spare.extend_from_slice(&right[j..]);
    values.copy_from_slice(spare);
    falling
}

/// Sizes of the groups of equal neighbours in a sorted list, those of one left out.
pub(super) fn ties<T: PartialEq>(sorted: &[T]) -> impl Iterator<Item = usize> {
    sorted.chunk_by(|a, b| a == b).map(<[T]>::len).filter(|&size| size > 1)
}

/// n (n − 1) (2n + 5), the term of which the variance of Kendall's score is made, for the list and for each tie.
pub(super) fn variance_term(n: usize) -> f64 {
    let n = n as f64;
    n * (n - 1.0) * (2.0 * n + 5.0)
}
