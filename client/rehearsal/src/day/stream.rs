//! Randomness: one named stream for each subject and each thing that is drawn for, all from one seed, so that
//! drawing more for one of them never shifts what is drawn for another.
//!
//! Uniform and normal numbers are made here from the generator's words and not by a library's distributions,
//! whose results may change from release to release: a frozen day must stay what it is. Logarithms and the like are
//! the machine's own; what is drawn with them is rounded to tenths of a minute or whole seconds, so that the last
//! bits, in which machines differ, do not show.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};

/// What is drawn for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Subject {
    /// When something is handed in, and from where.
    Arrivals,
    /// What it is, what is wrong with it and what the strip says.
    Causes,
    /// How long the work takes.
    Minutes,
    /// Who owns it, and what people do.
    People,
    /// By when it is wanted.
    Wanted,
    /// Stopped strips.
    CallOuts,
    /// Exchanged tags.
    Swaps,
    /// Habits of strips and officials.
    Habits,
    /// By how much the true shares of causes differ from the table's.
    Shares,
}

/// The stream of a subject for the thing with that number.
pub fn stream(seed: u64, subject: Subject, index: u32) -> ChaCha8Rng {
    let mut bytes = [0_u8; 32];
    bytes[..8].copy_from_slice(&seed.to_le_bytes());
    bytes[8..].copy_from_slice(b"a day invented by remise");
    let mut rng = ChaCha8Rng::from_seed(bytes);
    rng.set_stream((subject as u64) << 32 | u64::from(index));
    rng
}

/// Uniform in 0 (inside) to 1 (outside), in steps of 2⁻⁵³.
pub(super) fn unit(rng: &mut ChaCha8Rng) -> f64 {
    (rng.next_u64() >> 11) as f64 / (1_u64 << 53) as f64
}

/// True with that probability.
pub(super) fn chance(rng: &mut ChaCha8Rng, probability: f64) -> bool {
    unit(rng) < probability
}

/// A whole number from 0 to `count` - 1; 0 when there is none.
pub(super) fn below(rng: &mut ChaCha8Rng, count: usize) -> usize {
    ((unit(rng) * count as f64) as usize).min(count.saturating_sub(1))
}

/// One of several, by weight; `None` when nothing has any weight.
pub(super) fn pick<T: Copy>(rng: &mut ChaCha8Rng, weighted: impl IntoIterator<Item = (T, f64)>) -> Option<T> {
    let all: Vec<(T, f64)> = weighted.into_iter().filter(|(_, weight)| *weight > 0.0).collect();
    let mut left = unit(rng) * all.iter().map(|(_, weight)| weight).sum::<f64>();
    for (what, weight) in &all {
        if left < *weight {
            return Some(*what);
        }
        left -= weight;
    }
    all.last().map(|(what, _)| *what)
}

/// A log-normal number whose logarithm has mean `mu` and standard deviation `sigma` (Box and Muller 1958).
pub(super) fn log_normal(rng: &mut ChaCha8Rng, mu: f64, sigma: f64) -> f64 {
    let (a, b) = (1.0 - unit(rng), unit(rng));
    let normal = (-2.0 * a.ln()).sqrt() * (2.0 * std::f64::consts::PI * b).cos();
    (mu + sigma * normal).exp()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn streams_differ_by_seed_subject_and_number() {
        let first = |seed, subject, index| unit(&mut stream(seed, subject, index)).to_bits();
        let base = first(1, Subject::Arrivals, 0);
        assert_eq!(base, first(1, Subject::Arrivals, 0));
        assert_ne!(base, first(2, Subject::Arrivals, 0));
        assert_ne!(base, first(1, Subject::Causes, 0));
        assert_ne!(base, first(1, Subject::Arrivals, 1));
    }

    /// Held against the distribution's own mean exp(mu + sigma² / 2) and median exp(mu), with 20 000 draws and
    /// a bound of five standard errors.
    #[test]
    fn log_normal_numbers_have_their_median_and_mean() {
        let mut rng = stream(7, Subject::Minutes, 0);
        let (mu, sigma) = (5_f64.ln(), 0.4);
        let mut draws: Vec<f64> = (0..20_000).map(|_| log_normal(&mut rng, mu, sigma)).collect();
        draws.sort_by(f64::total_cmp);
        let mean = draws.iter().sum::<f64>() / draws.len() as f64;
        assert!((mean - (mu + sigma * sigma / 2.0).exp()).abs() < 0.09, "{mean}");
        assert!((draws[10_000] - 5.0).abs() < 0.09, "{}", draws[10_000]);
    }

    #[test]
    fn a_pick_follows_its_weights() {
        let mut rng = stream(7, Subject::Causes, 0);
        let heads = (0..10_000).filter(|_| pick(&mut rng, [('a', 3.0), ('b', 1.0)]) == Some('a')).count();
        assert!((7_250..7_750).contains(&heads), "{heads}");
        assert_eq!(pick(&mut rng, [('a', 0.0)]), None);
    }
}
