//! Reads single-machine sets (`reference/planning/weighted-tardiness-1machine.csv`, `wt20-exact.csv`): one bench, all
//! jobs there from the start, weighted lateness.

use anyhow::{Context, Result, ensure};
use remise_core::plan::problem::{Bench, Job, Operation, Problem};

/// One instance.
#[derive(Debug)]
pub struct Single {
    /// Its number in the set.
    pub name: String,
    /// The problem.
    pub problem: Problem,
    /// The published or exact value.
    pub best: i64,
}

/// Reads a set. The header names the columns `instance`, `processing`, `weight`, `due` (numbers apart by spaces), and
/// `published_value` or `optimum`; columns after that one are not read.
pub fn read(text: &str) -> Result<Vec<Single>> {
    let mut lines = text.lines();
    let header: Vec<&str> = lines.next().context("the file is empty")?.split(',').collect();
    let column = |name: &str| header.iter().position(|column| *column == name);
    let need = |name: &str| column(name).with_context(|| format!("there is no column {name}"));
    let value = column("published_value").or(column("optimum")).context("there is no column of values")?;
    let columns = [need("instance")?, need("processing")?, need("weight")?, need("due")?, value];
    lines.map(|line| instance(line, columns).with_context(|| format!("row: {line}"))).collect()
}

fn instance(line: &str, columns: [usize; 5]) -> Result<Single> {
    let cells: Vec<&str> = line.split(',').collect();
    let cell = |index: usize| cells.get(columns[index]).copied().context("a cell is missing");
    let numbers = |index: usize| -> Result<Vec<i64>> {
        Ok(cell(index)?.split_whitespace().map(str::parse).collect::<Result<_, _>>()?)
    };
    let (minutes, weights, dues) = (numbers(1)?, numbers(2)?, numbers(3)?);
    ensure!(minutes.len() == weights.len() && minutes.len() == dues.len(), "lists of unequal length");
    let open = vec![(0, minutes.iter().sum())];
    let job = |((&minutes, &weight), &due): ((&i64, &i64), &i64)| {
        let op = Operation { minutes: vec![(0, minutes)], ..Operation::default() };
        Job { due, weight, ops: vec![op], ..Job::default() }
    };
    let mut jobs: Vec<Job> = minutes.iter().zip(&weights).zip(&dues).map(job).collect();
    for (job, number) in jobs.iter_mut().zip(0..) {
        job.number = number;
    }
    let problem = Problem { benches: vec![Bench { open, ..Bench::default() }], jobs, move_cost: 0 };
    problem.validate()?;
    Ok(Single { name: cell(0)?.to_owned(), problem, best: cell(4)?.parse()? })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]

    use std::collections::BTreeMap;

    use remise_core::plan::check::check;
    use remise_core::plan::problem::{Row, Schedule};
    use remise_core::plan::search::solve;

    use super::*;

    const PUBLISHED: &str = include_str!("../reference/planning/weighted-tardiness-1machine.csv");
    const EXACT: &str = include_str!("../reference/planning/wt20-exact.csv");

    // Held against the OR-Library's values (instance 19: best known, so it may be undercut) and against exact optima.
    #[test]
    fn searched_orders_are_near_the_published_values() {
        for (text, bounded) in [(PUBLISHED, 24), (EXACT, 25)] {
            let set = read(text).unwrap();
            assert_eq!(set.len(), 25);
            let (mut sum, mut sum_best, mut never_below) = (0, 0, 0);
            for single in set {
                let found = solve(&single.problem, 30_000, 1);
                assert_eq!(check(&single.problem, &found.schedule), Ok(found.objective));
                never_below += usize::from(found.objective.cost >= single.best);
                sum += found.objective.cost;
                sum_best += single.best;
            }
            assert!(never_below >= bounded);
            assert!(sum * 100 <= sum_best * 101, "{sum} against {sum_best}");
        }
    }

    /// What the check says of one order of the jobs, one after the other.
    fn value(problem: &Problem, order: &[usize]) -> i64 {
        let mut rows = Vec::new();
        let mut start = 0;
        for &job in order {
            let end = start + problem.jobs[job].ops[0].minutes[0].1;
            rows.push(Row { start, bench: 0, end, job, op: 0 });
            start = end;
        }
        check(problem, &Schedule { rows, unplaced: Vec::new() }).unwrap().cost
    }

    // Held against the recorded orders and values, and against edd_value (ties by number), made without this program.
    #[test]
    fn recorded_orders_have_their_recorded_values() {
        for (text, order, values) in
            [(PUBLISHED, "sequence_attaining", "sequence_value"), (EXACT, "optimal_sequence", "optimum")]
        {
            let mut reader = csv::Reader::from_reader(text.as_bytes());
            let rows: Vec<BTreeMap<String, String>> = reader.deserialize().map(Result::unwrap).collect();
            for (single, row) in read(text).unwrap().iter().zip(rows) {
                let recorded: Vec<usize> =
                    row[order].split_whitespace().map(|job| job.parse::<usize>().unwrap() - 1).collect();
                assert_eq!(value(&single.problem, &recorded).to_string(), row[values], "{}", single.name);
                if let Some(edd) = row.get("edd_value") {
                    let mut order: Vec<usize> = (0..recorded.len()).collect();
                    order.sort_by_key(|job| single.problem.jobs[*job].due);
                    assert_eq!(value(&single.problem, &order).to_string(), *edd, "{}", single.name);
                }
            }
        }
    }

    #[test]
    fn a_table_that_lacks_something_is_refused() {
        assert!(read("").is_err());
        assert!(read("instance,processing,weight,due\n").unwrap_err().to_string().contains("values"));
        assert!(read("instance,processing,weight,due,optimum\n1,3 4,1 1,5,0").is_err());
        assert!(read("instance,processing,weight,due,optimum\n1,3 4,1 1,5 x,0").is_err());
        assert_eq!(read("instance,processing,weight,due,optimum\n1,3 4,1 1,5 5,2").unwrap()[0].best, 2);
    }
}
