//! Plans instances from files and says how near the best known plan each comes: one JSON line per instance on the
//! standard output, the pooled gap on the standard error.

use std::collections::BTreeMap;
use std::time::Instant;

use anyhow::{Context, Result, bail, ensure};
use remise_core::plan::check::check;
use remise_core::plan::construct::{Rule, list};
use remise_core::plan::problem::Problem;
use remise_core::plan::search::{Outcome, solve};
use remise_tests::{instances, single_machine};
use serde_json::json;

const USAGE: &str = "\
usage: plan_instances [--budget N] [--seed N] [--schedule] [--optima FILE] INSTANCE.json…
       plan_instances --single [--budget N] [--seed N] SET.csv…
  --budget N     evaluations for each instance (default 1000000; with --single 300000)
  --seed N       seed of the search (default 2)
  --schedule     print each plan as well
  --optima FILE  take the best known values from a table with the columns name and best
  --single       the files are tables of single-machine instances";

struct Options {
    budget: Option<u64>,
    seed: u64,
    schedule: bool,
    single: bool,
    optima: BTreeMap<String, i64>,
    files: Vec<String>,
}

/// Sums over all instances with a best known value.
#[derive(Default)]
struct Pooled {
    value: i64,
    best: i64,
    atc: i64,
    slowest_ms: f64,
    beyond: Vec<String>,
}

fn main() -> Result<()> {
    let options = options(std::env::args().skip(1))?;
    let mut pooled = Pooled::default();
    for path in &options.files {
        let text = std::fs::read_to_string(path).with_context(|| format!("{path} could not be read"))?;
        if options.single {
            single(&options, &text, &mut pooled).with_context(|| path.clone())?;
        } else {
            instance(&options, &text, &mut pooled).with_context(|| path.clone())?;
        }
    }
    if pooled.best > 0 {
        eprintln!(
            "pooled gap {:.3} % ({} against {}); apparent tardiness rule alone {:.0} %; slowest {:.1} ms; beyond max(1.06 best, best + 8): {:?}",
            100.0 * (pooled.value as f64 / pooled.best as f64 - 1.0),
            pooled.value,
            pooled.best,
            100.0 * (pooled.atc as f64 / pooled.best as f64 - 1.0),
            pooled.slowest_ms,
            pooled.beyond,
        );
    }
    Ok(())
}

fn options(mut words: impl Iterator<Item = String>) -> Result<Options> {
    let mut options = Options {
        budget: None,
        seed: 2,
        schedule: false,
        single: false,
        optima: BTreeMap::new(),
        files: Vec::new(),
    };
    while let Some(word) = words.next() {
        let mut value = || words.next().with_context(|| format!("{word} wants a value\n{USAGE}"));
        match word.as_str() {
            "--budget" => options.budget = Some(value()?.parse().context("--budget wants a whole number")?),
            "--seed" => options.seed = value()?.parse().context("--seed wants a whole number")?,
            "--optima" => options.optima = optima(&value()?)?,
            "--schedule" => options.schedule = true,
            "--single" => options.single = true,
            _ if word.starts_with("--") => bail!("{word} is unknown\n{USAGE}"),
            _ => options.files.push(word),
        }
    }
    ensure!(!options.files.is_empty(), "no file was named\n{USAGE}");
    Ok(options)
}

fn optima(path: &str) -> Result<BTreeMap<String, i64>> {
    let text = std::fs::read_to_string(path).with_context(|| format!("{path} could not be read"))?;
    let mut lines = text.lines().map(|line| line.split(',').collect::<Vec<_>>());
    let header = lines.next().context("the table is empty")?;
    let column =
        |name: &str| header.iter().position(|column| *column == name).context("name or best is missing");
    let (name, best) = (column("name")?, column("best")?);
    let row = |cells: Vec<&str>| {
        let cell = |index: usize| cells.get(index).copied().context("a cell is missing");
        Ok((cell(name)?.to_owned(), cell(best)?.parse()?))
    };
    lines.map(row).collect()
}

fn instance(options: &Options, text: &str, pooled: &mut Pooled) -> Result<()> {
    let file: instances::File = serde_json::from_str(text)?;
    let instance = file.instance()?;
    let recorded = file.best.as_ref().map(|best| best.objective);
    let best = options.optima.get(&file.name).copied().or(recorded);
    let (found, ms) = timed(&instance.problem, options.budget.unwrap_or(1_000_000), options.seed);
    let mut line = report(&file.name, &instance.problem, &found, ms, best, pooled);
    if options.schedule {
        line["schedule"] = serde_json::to_value(instance.rows(&found.schedule))?;
    }
    println!("{line}");
    Ok(())
}

fn single(options: &Options, text: &str, pooled: &mut Pooled) -> Result<()> {
    for single in single_machine::read(text)? {
        let (found, ms) = timed(&single.problem, options.budget.unwrap_or(300_000), options.seed);
        let mut line = report(&single.name, &single.problem, &found, ms, Some(single.best), pooled);
        if options.schedule {
            line["sequence"] = found.schedule.rows.iter().map(|row| row.job + 1).collect();
        }
        println!("{line}");
    }
    Ok(())
}

fn timed(problem: &Problem, budget: u64, seed: u64) -> (Outcome, f64) {
    let from = Instant::now();
    let found = solve(problem, budget, seed);
    (found, from.elapsed().as_secs_f64() * 1000.0)
}

fn report(
    name: &str,
    problem: &Problem,
    found: &Outcome,
    ms: f64,
    best: Option<i64>,
    pooled: &mut Pooled,
) -> serde_json::Value {
    let value = found.objective.cost;
    let feasible = check(problem, &found.schedule) == Ok(found.objective) && found.objective.unplaced == 0;
    let atc = check(problem, &list(problem, Rule::Atc)).map_or(0, |objective| objective.cost);
    if let Some(best) = best {
        pooled.value += value;
        pooled.best += best;
        pooled.atc += atc;
        if value * 100 > (best * 106).max(best * 100 + 800) {
            pooled.beyond.push(name.to_owned());
        }
    }
    pooled.slowest_ms = pooled.slowest_ms.max(ms);
    let gap = best.filter(|best| *best > 0).map(|best| value as f64 / best as f64 - 1.0);
    json!({
        "name": name, "objective": value, "best_known": best, "gap": gap, "feasible": feasible,
        "weighted_completion": found.objective.completion, "unplaced": found.schedule.unplaced.len(), "atc": atc,
        "evaluations": found.evaluations, "ms": (ms * 10.0).round() / 10.0,
    })
}
