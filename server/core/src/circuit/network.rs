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
        self.per_ampere(a, b).map_or(f64::INFINITY, |volts| volts[a].unwrap_or(f64::INFINITY))
    }

    /// Voltages and the current that a source drives.
    pub fn flow(&self, source: Source) -> Flow {
        let Source { plus, minus, volt, series_ohm } = source;
        if let Some(per_ampere) = self.per_ampere(plus, minus) {
            let ohm = per_ampere[plus].unwrap_or(f64::INFINITY);
            let ampere = volt / (ohm + series_ohm.max(LEAST_OHM));
            let volts = per_ampere.into_iter().map(|v| v.map(|v| v * ampere)).collect();
            return Flow { volts, ampere };
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
        let mut siemens = vec![vec![0.0_f64; self.nodes]; self.nodes];
        for Resistor { a, b, ohm } in &self.resistors {
            siemens[*a][*b] += 1.0 / ohm;
            siemens[*b][*a] += 1.0 / ohm;
        }
        for node in (0..self.nodes).filter(|node| !kept.contains(node)) {
            take_out(&mut siemens, node);
        }
        let mut seen = Self::new(kept.len());
        for (i, a) in kept.iter().enumerate() {
            for (j, b) in kept.iter().enumerate().skip(i + 1) {
                if siemens[*a][*b] > 0.0 {
                    seen.join(i, j, 1.0 / siemens[*a][*b]);
                }
            }
        }
        seen
    }

    /// Voltages against `to` for one ampere into `from`; none when nothing joins the two.
    fn per_ampere(&self, from: usize, to: usize) -> Option<Vec<Option<f64>>> {
        if from >= self.nodes || to >= self.nodes || from == to {
            return None;
        }
        let joined = self.joined_to(from);
        if !joined[to] {
            return None;
        }
        // Row of each unknown: the nodes that are joined, without the one whose voltage is called 0.
        let unknown: Vec<usize> = (0..self.nodes).filter(|node| joined[*node] && *node != to).collect();
        let row = |node: usize| unknown.binary_search(&node).ok();
        let mut matrix = vec![vec![0.0; unknown.len() + 1]; unknown.len()];
        for Resistor { a, b, ohm } in &self.resistors {
            let siemens = 1.0 / ohm;
            for (here, there) in [(row(*a), row(*b)), (row(*b), row(*a))] {
                let Some(here) = here else { continue };
                matrix[here][here] += siemens;
                if let Some(there) = there {
                    matrix[here][there] -= siemens;
                }
            }
        }
        matrix[row(from)?][unknown.len()] = 1.0;
        let solved = solve(matrix)?;
        let mut volts = vec![None; self.nodes];
        volts[to] = Some(0.0);
        for (node, volt) in unknown.into_iter().zip(solved) {
            volts[node] = Some(volt);
        }
        Some(volts)
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

/// Star-mesh rule: neighbours of a node that goes are joined in pairs by g·h / (sum of all at the node).
fn take_out(siemens: &mut [Vec<f64>], node: usize) {
    let at: Vec<(usize, f64)> =
        siemens[node].iter().copied().enumerate().filter(|(_, siemens)| *siemens > 0.0).collect();
    let sum: f64 = at.iter().map(|(_, siemens)| siemens).sum();
    for (i, g) in &at {
        for (j, h) in &at {
            if i != j {
                siemens[*i][*j] += g * h / sum;
            }
        }
    }
    for (other, _) in at {
        siemens[node][other] = 0.0;
        siemens[other][node] = 0.0;
    }
}

/// Gaussian elimination with partial pivoting on rows that carry their right side last; none when singular.
fn solve(mut matrix: Vec<Vec<f64>>) -> Option<Vec<f64>> {
    let size = matrix.len();
    for column in 0..size {
        let largest = (column..size)
            .max_by(|a, b| matrix[*a][column].abs().total_cmp(&matrix[*b][column].abs()))
            .filter(|row| matrix[*row][column].abs() > 0.0)?;
        matrix.swap(column, largest);
        let (above, below) = matrix.split_at_mut(column + 1);
        let pivot = &above[column];
        for row in below {
            let factor = row[column] / pivot[column];
            if factor != 0.0 {
                for (value, above) in row.iter_mut().zip(pivot).skip(column) {
                    *value -= factor * above;
                }
            }
        }
    }
    let mut solved = vec![0.0; size];
    for row in (0..size).rev() {
        let known: f64 = (row + 1..size).map(|column| matrix[row][column] * solved[column]).sum();
        solved[row] = (matrix[row][size] - known) / matrix[row][row];
    }
    Some(solved)
}

#[cfg(test)]
#[path = "network_tests.rs"]
mod tests;
