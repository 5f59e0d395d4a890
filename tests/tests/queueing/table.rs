//! `reference/planning/queueing-full.csv`, read.

pub use remise_tests::queues::PriorityClass;

const TABLE: &str =
    include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/reference/planning/queueing-full.csv"));

/// A row.
#[derive(Clone, Debug)]
pub struct Row {
    /// The system, with its classes for one with priorities.
    pub model: String,
    /// Equal servers.
    pub servers: u32,
    /// Load of a server.
    pub load: f64,
    /// Coefficient of variation of the service, where there is one class.
    pub cv: Option<f64>,
    /// The class that it is about, from 1.
    pub class: Option<usize>,
    /// What it measures.
    pub measure: String,
    /// The formula's value.
    pub formula: f64,
    /// Mean of 20 independent replications made with the table, and half the width of their 95 % interval.
    pub replicated: (f64, f64),
}

/// Every row of the systems whose name begins so.
pub fn rows(model: &str) -> impl Iterator<Item = Row> {
    all().into_iter().filter(move |row| row.model.starts_with(model))
}

/// Every row.
pub fn all() -> Vec<Row> {
    let mut rows = csv::Reader::from_reader(TABLE.as_bytes());
    let read = |row: csv::StringRecord| Row {
        model: row[0].to_owned(),
        servers: row[1].parse().unwrap(),
        load: row[2].parse().unwrap(),
        cv: row[3].parse().ok(),
        class: row[4].parse().ok(),
        measure: row[5].to_owned(),
        formula: row[6].parse().unwrap(),
        replicated: (row[10].parse().unwrap(), row[11].parse().unwrap()),
    };
    rows.records().map(|row| read(row.unwrap())).collect()
}

impl Row {
    /// The classes of a system with priorities, as its name lists them.
    pub fn classes(&self) -> Vec<PriorityClass> {
        let list = |what: &str| -> Vec<f64> {
            let part = self.model.split("; ").find_map(|part| part.strip_prefix(what)).unwrap();
            part.split_whitespace().map(|number| number.parse().unwrap()).collect()
        };
        let (rates, means, cvs) = (list("rates "), list("means "), list("cvs "));
        let class = |at: usize| PriorityClass { rate: rates[at], mean: means[at], cv: cvs[at] };
        (0..rates.len()).map(class).collect()
    }
}
