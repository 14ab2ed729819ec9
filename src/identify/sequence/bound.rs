//! What no sequence can better.

use super::cells::Look;

/// Weights of the classes of forms that some sequence could part: two forms with a cell in common in every feature are in one class, and so
/// are those that are so joined through others. Every path of a sequence ends within one class.
pub(super) fn classes(looks: &[Look], weights: &[f64]) -> Vec<f64> {
    let n = weights.len();
    let mut class: Vec<usize> = (0..n).collect();
    for a in 0..n {
        for b in a + 1..n {
            let (one, other) = (class.get(a).copied().unwrap_or(a), class.get(b).copied().unwrap_or(b));
            if one != other && looks.iter().all(|look| look.meet(a, b)) {
                class.iter_mut().filter(|c| **c == other).for_each(|c| *c = one);
            }
        }
    }
    let mut sums = vec![0.0; n];
    for (class, weight) in class.iter().zip(weights) {
        if let Some(sum) = sums.get_mut(*class) {
            *sum += weight;
        }
    }
    sums.retain(|sum| *sum > 0.0);
    sums
}

/// Shannon entropy in bits.
pub(super) fn entropy(weights: &[f64]) -> f64 {
    weights.iter().map(|&w| if w > 0.0 { -w * w.log2() } else { 0.0 }).sum::<f64>().max(0.0)
}

/// Mean length of the Huffman code with that many signs: the weights of the nodes joined, summed.
pub(super) fn huffman(weights: &[f64], signs: usize) -> f64 {
    let signs = signs.max(2);
    let mut left = weights.to_vec();
    while left.len() > 1 && !(left.len() - 1).is_multiple_of(signs - 1) {
        left.push(0.0);
    }
    let mut sum = 0.0;
    while left.len() > 1 {
        left.sort_by(|a, b| b.total_cmp(a));
        let joined: f64 = left.split_off(left.len() - signs.min(left.len())).iter().sum();
        sum += joined;
        left.push(joined);
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The example of T. M. Cover and J. A. Thomas, Elements of Information Theory, section 5.6 (from memory): 2.3 binary, 1.5 ternary.
    #[test]
    fn huffman_codes_of_a_text_book() {
        let weights = [0.25, 0.25, 0.2, 0.15, 0.15];
        assert!((huffman(&weights, 2) - 2.3).abs() < 1e-12, "{}", huffman(&weights, 2));
        assert!((huffman(&weights, 3) - 1.5).abs() < 1e-12, "{}", huffman(&weights, 3));
        assert!(entropy(&weights) <= 2.3, "{}", entropy(&weights));
        assert!(huffman(&[1.0], 2).abs() < 1e-12 && huffman(&[], 2).abs() < 1e-12, "nothing to part");
    }
}
