//! Mends what noise broke: wrong signs, forces that fall over speed, damping that turns back over current.
//!
//! Least-squares monotone fit by pooling neighbours (Ayer and others 1955, "An empirical distribution function for
//! sampling with incomplete information"). Pooling keeps order: rows that are monotone over current stay so when columns
//! are pooled over speed, so that one pass each is enough.

use super::{BenchFault, NOISE_N, NOISE_SHARE};

/// What a half of a table stands for.
pub(super) struct Axes<'a> {
    /// Speeds, rising.
    pub speeds: &'a [f64],
    /// −1 in compression, 1 in rebound.
    pub sign: f64,
    /// Currents, rising.
    pub current_a: &'a [f64],
    /// True where more current is firmer.
    pub is_firm_high: bool,
}

/// What was mended, at most.
#[derive(Debug, Default)]
pub(super) struct Mended {
    sign_n: f64,
    over_current_n: f64,
    over_speed_n: f64,
}

impl Mended {
    pub fn tell(&self, done: &mut Vec<String>) {
        if self.sign_n >= 0.05 {
            done.push(format!(
                "Near standstill, forces of the wrong sign up to {:.1} N were set to zero.",
                self.sign_n
            ));
        }
        if self.over_current_n >= 0.05 {
            let most = self.over_current_n;
            done.push(format!("Where damping turned back over current, forces were moved by at most {most:.1} N."));
        }
        if self.over_speed_n >= 0.05 {
            let most = self.over_speed_n;
            done.push(format!("Where force fell over velocity, forces were moved by at most {most:.1} N."));
        }
    }
}

fn noise(beside: f64) -> f64 {
    NOISE_N.max(NOISE_SHARE * beside)
}

/// Mends sizes of force, one row a speed and one column a current.
pub(super) fn mend(sizes: &mut [Vec<f64>], axes: &Axes<'_>, mended: &mut Mended) -> Result<(), BenchFault> {
    let largest = |values: &mut dyn Iterator<Item = f64>| values.fold(0.0, f64::max);
    let signed = |v: f64| round(axes.sign * v, 1000.0);
    for (row, line) in sizes.iter_mut().enumerate() {
        for (size, &current_a) in line.iter_mut().zip(axes.current_a) {
            if *size < -NOISE_N {
                let velocity_m_per_s = signed(axes.speeds[row]);
                return Err(BenchFault::Drives {
                    current_a,
                    velocity_m_per_s,
                    force_n: round(axes.sign * *size, 10.0),
                });
            }
            mended.sign_n = mended.sign_n.max(-*size);
            *size = size.max(0.0);
        }
        let bound = noise(largest(&mut line.iter().copied()));
        let before = line.clone();
        if !axes.is_firm_high {
            line.reverse();
        }
        pool(line);
        if !axes.is_firm_high {
            line.reverse();
        }
        let (column, moved) = widest(&before, line);
        if moved > bound {
            let other = partner(&before, column, axes.is_firm_high);
            let (lower, upper) = (column.min(other), column.max(other));
            return Err(BenchFault::TurnsBack {
                velocity_m_per_s: signed(axes.speeds[row]),
                lower_a: axes.current_a[lower],
                current_a: axes.current_a[upper],
                before_n: round(axes.sign * before[lower], 1.0),
                force_n: round(axes.sign * before[upper], 1.0),
            });
        }
        mended.over_current_n = mended.over_current_n.max(moved);
    }
    for (column, &current_a) in axes.current_a.iter().enumerate() {
        let before: Vec<f64> = sizes.iter().map(|line| line[column]).collect();
        let mut after = before.clone();
        pool(&mut after);
        let (row, moved) = widest(&before, &after);
        if moved > noise(largest(&mut before.iter().copied())) {
            let other = partner(&before, row, true);
            let (lower, upper) = (row.min(other), row.max(other));
            return Err(BenchFault::Falls {
                current_a,
                slower_m_per_s: signed(axes.speeds[lower]),
                velocity_m_per_s: signed(axes.speeds[upper]),
                before_n: round(axes.sign * before[lower], 1.0),
                force_n: round(axes.sign * before[upper], 1.0),
            });
        }
        mended.over_speed_n = mended.over_speed_n.max(moved);
        for (line, value) in sizes.iter_mut().zip(after) {
            line[column] = value;
        }
    }
    Ok(())
}

fn round(value: f64, to: f64) -> f64 {
    (value * to).round() / to + 0.0
}

/// The least-squares rising fit: neighbours that fall are pooled into their mean.
fn pool(values: &mut [f64]) {
    let mut blocks: Vec<(f64, usize)> = Vec::with_capacity(values.len());
    for &value in values.iter() {
        blocks.push((value, 1));
        while let [.., (a, n), (b, m)] = blocks[..]
            && b < a
        {
            blocks.truncate(blocks.len() - 2);
            blocks.push(((a * n as f64 + b * m as f64) / (n + m) as f64, n + m));
        }
    }
    let fitted = blocks.into_iter().flat_map(|(value, count)| std::iter::repeat_n(value, count));
    values.iter_mut().zip(fitted).for_each(|(value, fit)| *value = fit);
}

/// Where a fit moved most, and by how much.
fn widest(before: &[f64], after: &[f64]) -> (usize, f64) {
    let moved = before.iter().zip(after).map(|(a, b)| (a - b).abs());
    moved.enumerate().fold((0, 0.0), |most, (i, by)| if by > most.1 { (i, by) } else { most })
}

/// The value that disagrees most with the one at `index` about the way the values go.
fn partner(values: &[f64], index: usize, rises: bool) -> usize {
    let disagreement = |i: usize| {
        let step = if i < index { values[i] - values[index] } else { values[index] - values[i] };
        if rises { step } else { -step }
    };
    (0..values.len())
        .filter(|i| *i != index)
        .max_by(|a, b| disagreement(*a).total_cmp(&disagreement(*b)))
        .unwrap_or(index)
}
