//! A network of resistors, solved by nodal analysis: Kirchhoff's current law at every node, written with
//! conductances, and Gaussian elimination with pivoting. Nodes that no path joins to the question float and are
//! left out. Knows nothing of weapons.

/// Least resistance of a resistor, in ohm; a smaller one (or none) counts as this, so that no conductance is
/// infinite. A thousandth of anything that a bench meter can tell apart.
pub const LEAST_OHM: f64 = 1e-5;

/// Resistors between numbered nodes.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Network {
    nodes: usize,
    resistors: Vec<Resistor>,
}

#[derive(Clone, Copy, Debug, PartialEq)]
struct Resistor {
    a: usize,
    b: usize,
    ohm: f64,
}

/// A source of voltage with a resistance in series, such as a battery and a lamp.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Source {
    /// The node that its plus pole is joined to.
    pub plus: usize,
    /// The node that its minus pole is joined to; its voltage is called 0.
    pub minus: usize,
    /// Voltage with nothing joined to it, in volt.
    pub volt: f64,
    /// Resistance in series, in ohm.
    pub series_ohm: f64,
}

/// What a source does to a network.
#[derive(Clone, Debug, PartialEq)]
pub struct Flow {
    /// Voltage of each node against the source's minus pole, in volt; none for a node that floats.
    pub volts: Vec<Option<f64>>,
    /// Current out of the plus pole, in ampere.
    pub ampere: f64,
}

impl Network {
    /// A network of so many nodes, not joined yet.
    pub fn new(nodes: usize) -> Self {
        Self { nodes, resistors: Vec::new() }
    }

    /// Joins two nodes. An infinite resistance (or one that is no number) joins nothing; a node joined to itself
    /// changes nothing. A number beyond the nodes adds nodes up to it.
    pub fn join(&mut self, a: usize, b: usize, ohm: f64) {
        self.nodes = self.nodes.max(a + 1).max(b + 1);
        if ohm.is_finite() && a != b {
            self.resistors.push(Resistor { a, b, ohm: ohm.max(LEAST_OHM) });
        }
    }

    /// Resistance between two nodes, in ohm; infinite when nothing joins them.
    pub fn resistance_between(&self, a: usize, b: usize) -> f64 {
        if a == b {
            return 0.0;
        }
        self.per_ampere(a, b).and_then(|volts| volts.at(a)).unwrap_or(f64::INFINITY)
    }

    /// Voltages and the current that a source drives.
    pub fn flow(&self, source: Source) -> Flow {
        let Source { plus, minus, volt, series_ohm } = source;
        if let Some(per_ampere) = self.per_ampere(plus, minus) {
            let ohm = per_ampere.at(plus).unwrap_or(f64::INFINITY);
            let ampere = volt / (ohm + series_ohm.max(LEAST_OHM));
            let volt_of = |node| per_ampere.at(node).map(|volt| volt * ampere);
            return Flow { volts: (0..self.nodes).map(volt_of).collect(), ampere };
        }
        // Nothing joins the poles: one end lies at the full voltage, the other at none.
        let (live, earthed) = (self.joined_to(plus), self.joined_to(minus));
        let volt_of = |node: usize| match (live[node], earthed[node]) {
            (true, _) => Some(volt),
            (_, true) => Some(0.0),
            _ => None,
        };
        Flow { volts: (0..self.nodes).map(volt_of).collect(), ampere: 0.0 }
    }

    /// The network as it looks from these nodes alone: the same resistance between any two of them, numbered in
    /// the order given. Every other node is taken out by the star-mesh rule (the Schur complement of the matrix
    /// of conductances), which costs far less than one solution per pair.
    #[must_use]
    pub fn seen_from(&self, kept: &[usize]) -> Self {
        let mut mesh = Mesh::of(self);
        for node in (0..self.nodes).filter(|node| !kept.contains(node)) {
            mesh.take_out(node);
        }
        let mut seen = Self::new(kept.len());
        for (i, a) in kept.iter().enumerate() {
            for (j, b) in kept.iter().enumerate().skip(i + 1) {
                let siemens = mesh.between(*a, *b);
                if siemens > 0.0 {
                    seen.join(i, j, 1.0 / siemens);
                }
            }
        }
        seen
    }

    /// Voltages against `to` for one ampere into `from`; none when nothing joins the two.
    fn per_ampere(&self, from: usize, to: usize) -> Option<PerAmpere> {
        if from >= self.nodes || to >= self.nodes || from == to {
            return None;
        }
        let joined = self.joined_to(from);
        if !joined[to] {
            return None;
        }
        // Row of each unknown: the nodes that are joined, without the one whose voltage is called 0.
        let mut size = 0;
        let numbered = |(node, joined): (usize, bool)| {
            let row = (joined && node != to).then_some(size);
            size += usize::from(row.is_some());
            row
        };
        let row: Vec<Option<usize>> = joined.into_iter().enumerate().map(numbered).collect();
        let mut equations = Equations { size, values: vec![0.0; size * (size + 1)] };
        for Resistor { a, b, ohm } in &self.resistors {
            let siemens = 1.0 / ohm;
            for (here, there) in [(row[*a], row[*b]), (row[*b], row[*a])] {
                let Some(here) = here else { continue };
                *equations.at(here, here) += siemens;
                if let Some(there) = there {
                    *equations.at(here, there) -= siemens;
                }
            }
        }
        *equations.at(row[from]?, size) = 1.0;
        let volts = equations.solved()?;
        Some(PerAmpere { to, row, volts })
    }

    /// Which nodes a path joins to this one.
    fn joined_to(&self, node: usize) -> Vec<bool> {
        let mut joined = vec![false; self.nodes];
        if node >= self.nodes {
            return joined;
        }
        joined[node] = true;
        let mut grew = true;
        while grew {
            grew = false;
            for Resistor { a, b, .. } in &self.resistors {
                if joined[*a] != joined[*b] {
                    (joined[*a], joined[*b], grew) = (true, true, true);
                }
            }
        }
        joined
    }
}

/// Voltages for one ampere.
struct PerAmpere {
    /// The node whose voltage is called 0.
    to: usize,
    /// Where each node's voltage stands; none for a node that floats.
    row: Vec<Option<usize>>,
    volts: Vec<f64>,
}

impl PerAmpere {
    fn at(&self, node: usize) -> Option<f64> {
        if node == self.to { Some(0.0) } else { self.row[node].map(|row| self.volts[row]) }
    }
}

/// Bits of a word.
const BITS: usize = u64::BITS as usize;

/// Conductances between all pairs of nodes. Most pairs are not joined, so each node keeps the set of those that it is
/// joined to, and only these are visited.
struct Mesh {
    nodes: usize,
    /// Row by row, in siemens.
    siemens: Vec<f64>,
    /// A bit for each node, in so many words a row.
    joined: Vec<u64>,
    words: usize,
    /// Room for the neighbours of the node that goes.
    around: Vec<(usize, f64)>,
}

impl Mesh {
    fn of(network: &Network) -> Self {
        let (nodes, words) = (network.nodes, network.nodes.div_ceil(BITS));
        let (siemens, joined) = (vec![0.0; nodes * nodes], vec![0; nodes * words]);
        let mut mesh = Self { nodes, siemens, joined, words, around: Vec::new() };
        for Resistor { a, b, ohm } in &network.resistors {
            mesh.add(*a, *b, 1.0 / ohm);
            mesh.add(*b, *a, 1.0 / ohm);
        }
        mesh
    }

    fn between(&self, a: usize, b: usize) -> f64 {
        self.siemens[a * self.nodes + b]
    }

    fn add(&mut self, a: usize, b: usize, siemens: f64) {
        self.siemens[a * self.nodes + b] += siemens;
        self.joined[a * self.words + b / BITS] |= 1 << (b % BITS);
    }

    /// Star-mesh rule: neighbours of a node that goes are joined in pairs by g·h / (sum of all at the node).
    fn take_out(&mut self, node: usize) {
        let mut around = std::mem::take(&mut self.around);
        around.clear();
        for word in 0..self.words {
            let mut left = self.joined[node * self.words + word];
            while left != 0 {
                let other = word * BITS + left.trailing_zeros() as usize;
                around.push((other, self.between(node, other)));
                left &= left - 1;
            }
        }
        let sum: f64 = around.iter().map(|(_, siemens)| siemens).sum();
        for (i, g) in &around {
            self.joined[i * self.words + node / BITS] &= !(1 << (node % BITS));
            for (j, h) in around.iter().filter(|(j, _)| j != i) {
                self.add(*i, *j, g * h / sum);
            }
        }
        self.around = around;
    }
}

/// Linear equations, row by row; each row carries its right side last.
struct Equations {
    size: usize,
    values: Vec<f64>,
}

impl Equations {
    fn at(&mut self, row: usize, column: usize) -> &mut f64 {
        &mut self.values[row * (self.size + 1) + column]
    }

    /// Gaussian elimination with partial pivoting; none when singular.
    fn solved(mut self) -> Option<Vec<f64>> {
        let (size, width) = (self.size, self.size + 1);
        for column in 0..size {
            let steep = |row: &usize| self.values[row * width + column].abs();
            let largest =
                (column..size).max_by(|a, b| steep(a).total_cmp(&steep(b))).filter(|row| steep(row) > 0.0)?;
            let (above, below) = self.values.split_at_mut((column + 1) * width);
            let pivot = &mut above[column * width..];
            if largest > column {
                pivot.swap_with_slice(&mut below[(largest - column - 1) * width..][..width]);
            }
            for row in below.chunks_exact_mut(width) {
                let factor = row[column] / pivot[column];
                if factor != 0.0 {
                    for (value, above) in row.iter_mut().zip(&*pivot).skip(column) {
                        *value -= factor * above;
                    }
                }
            }
        }
        let mut solved = vec![0.0; size];
        for (number, row) in self.values.chunks_exact(width).enumerate().rev() {
            let after = number + 1;
            let known: f64 =
                row[after..size].iter().zip(&solved[after..]).map(|(value, volt)| value * volt).sum();
            solved[number] = (row[size] - known) / row[number];
        }
        Some(solved)
    }
}

#[cfg(test)]
#[path = "network_tests.rs"]
mod tests;
