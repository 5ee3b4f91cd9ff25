//! What a damper can give at a wheel within a range of currents: its forces at one rate, from the soft to the firm end.
//!
//! All forces and rates here are those at the wheel: a damper of motion ratio r gives `r F(r v, I)` there. Every lane has a range of its own within the same table. Its nodes are the soft end, the table's current breakpoints
//! between, and the firm end; at a node the force over a stretch of velocity is a line `a + b v`, and between two nodes it
//! is linear in the current. One look finds the forces of all nodes at a rate; force, inversion and the ends of the range
//! then take a few comparisons each.

use crate::damper::DamperTable;
use washboard_signal::Lane;
use washboard_signal::table::Knots;

/// Forces count as equal within so many times what rounding leaves of them.
const EQUAL_ROUNDINGS: f64 = 10.0;

/// From the soft to the firm end of each lane, with the table's current breakpoints between.
#[derive(Clone, Debug)]
pub struct Range<L: Lane> {
    soft_a: L,
    firm_a: L,
    velocity: Knots,
    motion_ratio: L,
    /// Where the breakpoints of velocity lie between even parts: those have a row each, found without a search.
    parts: Option<Parts<L>>,
    /// One where more current is firmer, else minus one: along it the places of the nodes rise.
    direction: L,
    lines: Lines<L>,
    nodes: Nodes<L>,
}

/// From soft to firm; lanes with fewer breakpoints have several at their firm end. Few enough are counted by the compiler,
/// which writes their formulas out.
#[derive(Clone, Debug)]
enum Nodes<L> {
    Two([Node<L>; 2]),
    Three([Node<L>; 3]),
    Four([Node<L>; 4]),
    Five([Node<L>; 5]),
    Six([Node<L>; 6]),
    More(Vec<Node<L>>),
}

impl<L: Lane> Nodes<L> {
    fn new(nodes: Vec<Node<L>>) -> Self {
        match nodes[..] {
            [a, b] => Nodes::Two([a, b]),
            [a, b, c] => Nodes::Three([a, b, c]),
            [a, b, c, d] => Nodes::Four([a, b, c, d]),
            [a, b, c, d, e] => Nodes::Five([a, b, c, d, e]),
            [a, b, c, d, e, f] => Nodes::Six([a, b, c, d, e, f]),
            _ => Nodes::More(nodes),
        }
    }
}

/// Work with the nodes, compiled once for every number of them.
macro_rules! with_nodes {
    ($nodes:expr, $these:ident => $work:expr) => {
        match $nodes {
            Nodes::Two($these) => $work,
            Nodes::Three($these) => $work,
            Nodes::Four($these) => $work,
            Nodes::Five($these) => $work,
            Nodes::Six($these) => $work,
            Nodes::More($these) => $work,
        }
    };
}

/// The lines `a + b v` of the nodes.
#[derive(Clone, Debug)]
enum Lines<L: Lane> {
    /// Of few stretches, the same in all lanes: looked up in the registers.
    Few {
        /// `[a, b]` of every stretch, node after node.
        of_node: Vec<[[L::Number; 16]; 2]>,
        /// The stretch of every even part, where there are any.
        stretch_of_part: [u16; 64],
    },
    /// `[a, b]` of two nodes at a time: for each two nodes, each kind of lane and each stretch or even part of velocity.
    Many {
        lines: Vec<[L::Number; 4]>,
        /// Kinds of lanes times stretches or parts.
        rows: usize,
        /// First row of each lane's kind.
        first_row: L,
    },
}

/// Even parts of the velocity axis, `rate * per_rate` in parts from standstill on, held between the first and the last one.
///
/// Parts are counted from standstill where that is a border of two, so that however slow a motion is, rounding never takes
/// its direction for the other.
#[derive(Clone, Copy, Debug)]
struct Parts<L: Lane> {
    per_rate: L,
    /// What of the way from the first breakpoint to standstill is not whole parts.
    share: L::Number,
    first: L::Number,
    last: L::Number,
}

/// Most even parts: their lines must not crowd out what the loop needs of the fastest cache.
const MOST_PARTS: usize = 128;
/// A share of a part below this is rounding.
const BORDER_WITHIN: f64 = 1e-9;

impl<L: Lane> Parts<L> {
    fn new(velocity: &Knots, motion_ratio: L, parts: usize) -> Self {
        let v = velocity.values();
        let per_m_per_s = parts as f64 / (v[v.len() - 1] - v[0]);
        let to_standstill = -v[0] * per_m_per_s;
        let whole = (to_standstill + BORDER_WITHIN).floor();
        let share = to_standstill - whole;
        Parts {
            per_rate: motion_ratio * L::splat(per_m_per_s),
            share: L::number(if share < BORDER_WITHIN { 0.0 } else { share }),
            first: L::number(-whole),
            last: L::number((parts - 1) as f64 - whole),
        }
    }

    #[inline(always)]
    fn at(&self, rate_m_per_s: L) -> L {
        let place = (rate_m_per_s * self.per_rate + L::spread(self.share)).floor();
        let (first, last) = (L::spread(self.first), L::spread(self.last));
        // The first stands where the rate is no number.
        first.max(place).min(last) - first
    }
}

/// A current of the range.
#[derive(Clone, Copy, Debug)]
struct Node<L> {
    /// Its current times the direction, A.
    place_a: L,
    /// One over the distance to the next node; zero where that is at the same place.
    per_a: L,
    /// Its force at the rate looked at last, N.
    force_n: L,
}

/// What a damper can give at one rate.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reach<L> {
    /// The current to command, A.
    pub current_a: L,
    /// Force at the soft end, N.
    pub soft_n: L,
    /// Force at the firm end, N.
    pub firm_n: L,
}

impl<L: Lane> Range<L> {
    /// The range of each lane, A, in a damper table of this motion ratio (damper travel over wheel travel, positive).
    pub fn new(table: &DamperTable, motion_ratio: L, soft_a: L, firm_a: L) -> Self {
        let direction = if table.firm_is_high() { 1.0 } else { -1.0 };
        let lanes: Vec<Vec<f64>> = (0..L::WIDTH).map(|i| nodes(table, soft_a.get(i), firm_a.get(i))).collect();
        let longest = lanes.iter().map(Vec::len).max().unwrap_or(2);
        let current = |lane: usize, k: usize| lanes[lane][k.min(lanes[lane].len() - 1)];
        let node = |k: usize| {
            let way = |lane: usize| direction * (current(lane, k + 1) - current(lane, k));
            Node {
                place_a: L::from_fn(|lane| direction * current(lane, k)),
                per_a: L::from_fn(|lane| if way(lane) > 0.0 { 1.0 / way(lane) } else { 0.0 }),
                force_n: L::zero(),
            }
        };
        // Lanes of one kind (equal ranges and ratios) share their rows.
        let mut kinds: Vec<usize> = Vec::new();
        let mut first_row = L::zero();
        let velocity = table.velocity();
        let parts = velocity.even_parts(MOST_PARTS);
        // The stretch of each row of a kind.
        let stretch_of: Vec<usize> = match parts {
            Some(parts) => {
                let v = velocity.values();
                let middle = |part: usize| v[0] + (part as f64 + 0.5) / parts as f64 * (v[v.len() - 1] - v[0]);
                (0..parts).map(|part| velocity.segment(middle(part))).collect()
            }
            None => (0..velocity.stretches()).collect(),
        };
        for lane in 0..L::WIDTH {
            let is_like =
                |&other: &usize| lanes[other] == lanes[lane] && motion_ratio.get(other) == motion_ratio.get(lane);
            let kind = kinds.iter().position(is_like).unwrap_or_else(|| {
                kinds.push(lane);
                kinds.len() - 1
            });
            first_row.set(lane, (kind * stretch_of.len()) as f64);
        }
        let line = |lane: usize, k: usize, stretch: usize| {
            let (ratio, [a, b]) = (motion_ratio.get(lane), table.line_at(stretch, current(lane, k)));
            [a * ratio, b * ratio * ratio]
        };
        let are_few = kinds.len() == 1 && velocity.stretches() <= 16 && (parts.is_none() || stretch_of.len() <= 64);
        let lines = if L::LOOKS_UP && are_few {
            let of_node = |k: usize| {
                let mut both = [[L::Number::default(); 16]; 2];
                for stretch in 0..velocity.stretches() {
                    [both[0][stretch], both[1][stretch]] = line(0, k, stretch).map(L::number);
                }
                both
            };
            let mut stretch_of_part = [0; 64];
            for (place, &stretch) in stretch_of_part.iter_mut().zip(&stretch_of) {
                *place = u16::try_from(stretch).unwrap_or(u16::MAX);
            }
            Lines::Few { of_node: (0..longest).map(of_node).collect(), stretch_of_part }
        } else {
            let mut lines = Vec::with_capacity(longest.div_ceil(2) * kinds.len() * stretch_of.len());
            for k in (0..longest).step_by(2) {
                for &lane in &kinds {
                    for &stretch in &stretch_of {
                        let ([a0, b0], [a1, b1]) = (line(lane, k, stretch), line(lane, k + 1, stretch));
                        lines.push([a0, b0, a1, b1].map(L::number));
                    }
                }
            }
            Lines::Many { lines, rows: kinds.len() * stretch_of.len(), first_row }
        };
        Range {
            soft_a,
            firm_a,
            velocity: velocity.clone(),
            motion_ratio,
            parts: parts.map(|parts| Parts::new(velocity, motion_ratio, parts)),
            direction: L::splat(direction),
            lines,
            nodes: Nodes::new((0..longest).map(node).collect()),
        }
    }

    /// Soft and firm end, A.
    #[inline(always)]
    pub fn ends(&self) -> (L, L) {
        (self.soft_a, self.firm_a)
    }

    /// Finds the forces of all nodes at a rate of the corner, m/s; the other figures are those of the last look.
    #[inline(always)]
    pub fn look(&mut self, rate_m_per_s: L) {
        match &self.lines {
            Lines::Few { of_node, stretch_of_part } => {
                let stretch = match &self.parts {
                    Some(parts) => L::index_among(stretch_of_part, parts.at(rate_m_per_s).whole()),
                    None => self.velocity.stretch(self.motion_ratio * rate_m_per_s).whole(),
                };
                with_nodes!(&mut self.nodes, nodes => look_few(nodes, of_node, stretch, rate_m_per_s));
            }
            Lines::Many { lines, rows, first_row } => {
                let stretch = match &self.parts {
                    Some(parts) => parts.at(rate_m_per_s),
                    None => self.velocity.stretch(self.motion_ratio * rate_m_per_s),
                };
                let row = (stretch + *first_row).whole();
                with_nodes!(&mut self.nodes, nodes => look_many(nodes, lines, *rows, row, rate_m_per_s));
            }
        }
    }

    /// Force at a current of the range, N, positive in rebound.
    #[inline(always)]
    pub fn force_n(&self, current_a: L) -> L {
        with_nodes!(&self.nodes, nodes => force_at(nodes, current_a * self.direction))
    }

    /// The current that gives the wanted force at the rate looked at: the smallest change from the soft end that gives
    /// it, limited to what soft and firm end reach; and the forces of these two. At standstill, and where wanted force and
    /// rate disagree in sign, the soft end.
    #[inline(always)]
    pub fn reach(&self, rate_m_per_s: L, wanted_n: L) -> Reach<L> {
        with_nodes!(&self.nodes, nodes => reach_among(nodes, self.direction, rate_m_per_s, wanted_n))
    }
}

/// The forces of all nodes, of lines looked up in the registers.
#[inline(always)]
fn look_few<L: Lane>(nodes: &mut [Node<L>], of_node: &[[[L::Number; 16]; 2]], stretch: L::Index, rate_m_per_s: L) {
    let of_node = &of_node[..nodes.len()];
    for k in 0..nodes.len() {
        let [a, b] = &of_node[k];
        nodes[k].force_n = L::among(a, stretch) + L::among(b, stretch) * rate_m_per_s;
    }
}

/// The forces of all nodes, of lines in rows of two nodes.
#[inline(always)]
fn look_many<L: Lane>(nodes: &mut [Node<L>], lines: &[[L::Number; 4]], rows: usize, row: L::Index, rate_m_per_s: L) {
    let mut lines = lines;
    for two in nodes.chunks_mut(2) {
        let (these, rest) = lines.split_at(rows);
        lines = rest;
        let [a0, b0, a1, b1] = L::rows(these, row, 0);
        two[0].force_n = a0 + b0 * rate_m_per_s;
        if let [_, second] = two {
            second.force_n = a1 + b1 * rate_m_per_s;
        }
    }
}

/// Force at a place among the nodes.
#[inline(always)]
fn force_at<L: Lane>(nodes: &[Node<L>], place: L) -> L {
    let (first, second, others) = split(nodes);
    let (mut from, mut per, mut low, mut high) = (first.place_a, first.per_a, first.force_n, second.force_n);
    let mut last = second;
    for next in others {
        let is_beyond = place.ge(last.place_a);
        from = L::select(is_beyond, last.place_a, from);
        per = L::select(is_beyond, last.per_a, per);
        low = L::select(is_beyond, last.force_n, low);
        high = L::select(is_beyond, next.force_n, high);
        last = next;
    }
    low + (high - low) * ((place - from) * per)
}

/// As [`Range::reach`].
#[inline(always)]
fn reach_among<L: Lane>(nodes: &[Node<L>], direction: L, rate_m_per_s: L, wanted_n: L) -> Reach<L> {
    let (first, second, others) = split(nodes);
    let (soft_n, firm_n) = (first.force_n, others.last().unwrap_or(second).force_n);
    let (zero, least, wanted) = (L::zero(), soft_n.abs(), wanted_n.abs().min(firm_n.abs()));
    // Equal forces over current differ by rounding: what lies that close reaches the target.
    let close = wanted * L::splat(1.0 - EQUAL_ROUNDINGS * L::ROUNDING);
    // Where no more than the least is asked for, and where all currents give the same, the soft end is the answer:
    // nothing falls short of it.
    let can = L::and(wanted_n.agrees(rate_m_per_s), close.gt(least));
    let (target, close) = (L::select(can, wanted, least), L::select(can, close, zero));
    // Magnitudes rise from the soft end to the firm one: the answer lies behind the last node that falls short.
    let (mut from, mut low, mut to, mut high) = (first.place_a, least, second.place_a, second.force_n.abs());
    let (mut place, mut force) = (to, high);
    for next in others {
        let next_force = next.force_n.abs();
        let falls_short = close.gt(force);
        from = L::select(falls_short, place, from);
        low = L::select(falls_short, force, low);
        to = L::select(falls_short, next.place_a, to);
        high = L::select(falls_short, next_force, high);
        (place, force) = (next.place_a, next_force);
    }
    // No choice is left to make after the division, else each lane would branch around its own.
    let share = ((target - low) / (high - low).max(L::splat(L::LEAST_POSITIVE))).min(L::splat(1.0));
    Reach { current_a: direction * (from + (to - from) * share), soft_n, firm_n }
}

#[inline(always)]
fn split<L>(nodes: &[Node<L>]) -> (&Node<L>, &Node<L>, &[Node<L>]) {
    match nodes {
        [first, second, others @ ..] => (first, second, others),
        _ => unreachable!("a range has two ends"),
    }
}

/// Currents of a range from its soft to its firm end, A; at least these two.
fn nodes(table: &DamperTable, soft_a: f64, firm_a: f64) -> Vec<f64> {
    let (low, high) = (soft_a.min(firm_a), soft_a.max(firm_a));
    let breakpoints = table.current().values().iter().copied();
    let mut between: Vec<f64> = breakpoints.filter(|&i| i > low && i < high).collect();
    if soft_a > firm_a {
        between.reverse();
    }
    [vec![soft_a], between, vec![firm_a]].concat()
}
