//! `remise prove`: verdicts on an item by an edition of the rules. Needs no server; what it says is recorded nowhere.

use std::sync::LazyLock;

use clap::{Arg, ArgMatches, Args, Command, Error, FromArgMatches};
use remise_core::gear::{ItemKind, Work};
use remise_core::rules::{Answer, Asks, CLOSING, Check, Edition, Unit, Verdict, edition, editions};
use serde_json::{Value, json};

use super::Shown;
use super::parts::{kind, work};
use crate::exit;
use crate::failure::Failure;

/// What is proved.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLES)]
pub struct ProveArea {
    /// Kind of item: a code, or as people call it; alone, it lists what is to be proved
    #[arg(value_name = "ITEM", value_parser = kind)]
    pub kind: ItemKind,
    /// The edition of the rules; without it, the newest
    #[arg(long, value_name = "CODE")]
    pub edition: Option<String>,
    /// The work that was done: what it touched is to be proved; may be given more than once. Without it, no fault was
    /// found, and everything that tells whether the item works is to be proved
    #[arg(long, value_name = "WORK", value_parser = work)]
    pub after: Vec<Work>,
    /// What a check gave, by the check's code, for scripts: `foil_resistance=1.8ohm`; may be given more than once
    #[arg(long, value_name = "CHECK=ANSWER", value_parser = by_code)]
    pub reading: Vec<(String, String)>,
    /// What each check gave, by its own option.
    #[command(flatten)]
    pub answers: Answers,
}

const EXAMPLES: &str = "\
Every check is an option of its own, so that none is answered unseen: pass, fail, or a reading
with its unit. `remise prove ITEM` lists them.

Examples:
  remise prove foil
  remise prove foil --after point --resistance 1.8ohm --weight-500 pass
  remise prove epee --edition fie-2026 --gauge-1.5 pass --gauge-0.5 fail --json
  remise prove foil --reading foil_resistance=1.8ohm

Exit codes: 0 proved, or listed; 1 not proved, a check failed; 2 wrong usage;
6 not proved yet, nothing failed and a check is still to be done.";

/// No code of a check is as long, in bytes.
const LONGEST_CODE: usize = 60;

/// `CHECK=ANSWER`. The answer is read once the check is known.
fn by_code(typed: &str) -> Result<(String, String), String> {
    let (code, answer) = typed.split_once('=').ok_or("a check's code, =, and what it gave")?;
    let code = code.trim();
    let is_code =
        code.len() <= LONGEST_CODE && code.bytes().all(|byte| byte.is_ascii_alphanumeric() || byte == b'_');
    if code.is_empty() || !is_code {
        return Err("before the = stands the code of a check".to_owned());
    }
    Ok((code.to_owned(), answer.to_owned()))
}

/// The short names of all checks of all editions: each is an option.
static NAMES: LazyLock<Vec<String>> = LazyLock::new(|| {
    let mut names: Vec<String> =
        editions().iter().flat_map(|edition| &edition.checks).map(Check::called).collect();
    names.sort_unstable();
    names.dedup();
    names
});

/// Answers by the short name of the check, as they were typed. The options are made from the data of the rules.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Answers(Vec<(&'static str, String)>);

impl Args for Answers {
    fn augment_args(command: Command) -> Command {
        // One item has a dozen of them, which are listed with their limits when the item stands alone.
        command.args(
            NAMES
                .iter()
                .map(|name| Arg::new(name.as_str()).long(name.as_str()).value_name("ANSWER").hide(true)),
        )
    }

    fn augment_args_for_update(command: Command) -> Command {
        Self::augment_args(command)
    }
}

impl FromArgMatches for Answers {
    fn from_arg_matches(matches: &ArgMatches) -> Result<Self, Error> {
        let given = |name: &'static String| {
            matches.get_one::<String>(name).map(|typed| (name.as_str(), typed.clone()))
        };
        Ok(Self(NAMES.iter().filter_map(given).collect()))
    }

    fn update_from_arg_matches(&mut self, matches: &ArgMatches) -> Result<(), Error> {
        *self = Self::from_arg_matches(matches)?;
        Ok(())
    }
}

/// A proof as far as it was given.
struct Proof {
    kind: ItemKind,
    edition: &'static Edition,
    after: Vec<Work>,
    /// What was answered, in the order of the edition.
    judged: Vec<(&'static Check, Verdict)>,
    /// What is still to be done.
    missing: Vec<&'static Check>,
}

/// How it stands with a proof.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Outcome {
    Listed,
    Proved,
    Failed,
    Incomplete,
}

impl ProveArea {
    /// Judges it; the exit code says how.
    pub(super) fn run(&self) -> Result<(Shown, u8), Failure> {
        let proof = self.proof()?;
        let exit = match proof.outcome() {
            Outcome::Listed | Outcome::Proved => exit::DONE,
            Outcome::Failed => exit::REFUSED,
            Outcome::Incomplete => exit::UNFINISHED,
        };
        Ok((Shown { text: proof.text(), json: proof.json() }, exit))
    }

    fn proof(&self) -> Result<Proof, Failure> {
        let edition = self.edition()?;
        let checks: Vec<&'static Check> =
            edition.checks.iter().filter(|check| check.kinds.contains(&self.kind)).collect();
        self.refuse_strangers(edition, &checks)?;
        let required = edition.proof_for(self.kind, &self.after, self.after.is_empty());
        let (mut judged, mut missing) = (Vec::new(), Vec::new());
        for check in checks {
            match self.answer_to(check)? {
                Some(verdict) => judged.push((check, verdict)),
                None if required.contains(&check) => missing.push(check),
                None => {}
            }
        }
        Ok(Proof { kind: self.kind, edition, after: self.after.clone(), judged, missing })
    }

    /// Answers to checks that the item does not have.
    fn refuse_strangers(&self, edition: &Edition, checks: &[&Check]) -> Result<(), Failure> {
        let by_name = self.answers.0.iter().map(|(name, _)| (format!("--{name}"), *name));
        let by_code = self.reading.iter().map(|(code, _)| (code.clone(), code.as_str()));
        let known = |given: &str| checks.iter().any(|check| check.code == given || check.called() == given);
        match by_name.chain(by_code).find(|(_, given)| !known(given)) {
            None => Ok(()),
            Some((said, _)) => {
                let message = format!("a {} has no check {said} in {}", self.kind.title(), edition.title);
                Err(Failure::usage(message, self.list()))
            }
        }
    }

    /// The verdict on what was answered to a check, when something was.
    fn answer_to(&self, check: &Check) -> Result<Option<Verdict>, Failure> {
        let called = check.called();
        let by_name = self.answers.0.iter().filter(|(name, _)| *name == called).map(|(_, typed)| typed);
        let by_code = self.reading.iter().filter(|(code, _)| *code == check.code).map(|(_, typed)| typed);
        let given: Vec<&String> = by_name.chain(by_code).collect();
        let usage = |why: String| Failure::usage(format!("{}: {why}", check.code), self.list());
        match given.as_slice() {
            [] => Ok(None),
            [typed] => {
                let verdict = Answer::parse(typed, check).and_then(|answer| check.judge(&answer));
                verdict.map(Some).map_err(|why| usage(why.to_string()))
            }
            _ => Err(usage("it is answered more than once".to_owned())),
        }
    }

    fn edition(&self) -> Result<&'static Edition, Failure> {
        match &self.edition {
            Some(code) => edition(code)
                .map_err(|why| Failure::usage(why.to_string(), "Leave --edition out for the newest.")),
            None => editions().first().ok_or_else(|| Failure::broken("no edition of the rules is built in")),
        }
    }

    fn list(&self) -> String {
        format!("`remise prove {}` lists the checks and what each takes.", self.kind.code())
    }
}

impl Proof {
    fn outcome(&self) -> Outcome {
        if self.judged.is_empty() {
            Outcome::Listed
        } else if self.judged.iter().any(|(_, verdict)| verdict.refuses()) {
            Outcome::Failed
        } else if self.missing.is_empty() {
            Outcome::Proved
        } else {
            Outcome::Incomplete
        }
    }

    fn heading(&self) -> String {
        let works: Vec<&str> = self.after.iter().map(|work| work.title()).collect();
        let after = match works.as_slice() {
            [] => "no fault found".to_owned(),
            works => format!("after {}", works.join(", ")),
        };
        format!("{}, {after}, by {}\n", self.kind.title(), self.edition.title)
    }

    fn text(&self) -> String {
        let done = self.judged.iter().map(|(check, verdict)| format!("  {}\n", verdict_line(check, verdict)));
        let to_do = self.missing.iter().map(|check| missing_lines(check));
        let title = if self.judged.is_empty() { "To be done" } else { "Still to be done" };
        let end = ["\n".to_owned(), self.conclusion(), format!("{CLOSING}\n")];
        [self.heading(), part("Done", done), part(title, to_do)].into_iter().chain(end).collect()
    }

    fn conclusion(&self) -> String {
        let failed: Vec<&str> = self.failed().map(|check| check.title.as_str()).collect();
        match self.outcome() {
            Outcome::Listed => String::new(),
            Outcome::Proved => self.proved(),
            Outcome::Failed => format!("NOT proved: it fails at {}.\n", failed.join(", ")),
            Outcome::Incomplete if self.missing.len() == 1 => {
                "Not proved yet: one check is still to be done.\n".to_owned()
            }
            Outcome::Incomplete => {
                format!("Not proved yet: {} checks are still to be done.\n", self.missing.len())
            }
        }
    }

    /// Proved; with what is beside a limit from memory, which somebody has to look up.
    fn proved(&self) -> String {
        let doubtful = self.judged.iter().filter(|(_, verdict)| !verdict.pass && verdict.to_be_confirmed);
        let titles: Vec<&str> = doubtful.map(|(check, _)| check.title.as_str()).collect();
        match titles.as_slice() {
            [] => "Proved.\n".to_owned(),
            titles => format!(
                "Proved, but look up the limit from memory that it does not keep: {}.\n",
                titles.join(", ")
            ),
        }
    }

    fn failed(&self) -> impl Iterator<Item = &Check> {
        self.judged.iter().filter(|(_, verdict)| verdict.refuses()).map(|(check, _)| *check)
    }

    fn json(&self) -> Value {
        let verdicts: Vec<Value> =
            self.judged.iter().map(|(check, verdict)| verdict_json(check, verdict)).collect();
        let missing: Vec<Value> = self.missing.iter().map(|check| missing_json(check)).collect();
        json!({
            "ok": true,
            "item": { "code": self.kind.code(), "title": self.kind.title() },
            "edition": self.edition.code,
            "after": self.after.iter().map(|work| work.code()).collect::<Vec<_>>(),
            "outcome": match self.outcome() {
                Outcome::Listed => "listed",
                Outcome::Proved => "proved",
                Outcome::Failed => "failed",
                Outcome::Incomplete => "incomplete",
            },
            "verdicts": verdicts,
            "missing": missing,
            "closing": CLOSING,
        })
    }
}

/// A titled part of the text; nothing when it has no lines.
fn part(title: &str, lines: impl Iterator<Item = String>) -> String {
    let lines: String = lines.collect();
    if lines.is_empty() { lines } else { format!("\n{title}\n{lines}") }
}

fn verdict_line(check: &Check, verdict: &Verdict) -> String {
    match verdict.reading {
        Some(_) => format!("{}: {}", check.title, verdict.sentence()),
        None => verdict.sentence(),
    }
}

/// What is answered: `pass|fail`, or a reading in the check's unit.
fn takes(check: &Check) -> String {
    match (&check.asks, check.unit().map(Unit::name)) {
        (Asks::Reading(unit), _) => format!("a value in {}", unit.name()),
        (_, Some(unit)) => format!("pass, fail or a value in {unit}"),
        (_, None) => "pass or fail".to_owned(),
    }
}

fn grounds(check: &Check) -> String {
    let rule = check.rule.as_ref().map(|rule| format!("{rule}, ")).unwrap_or_default();
    format!("{} ({rule}{})", check.limit_text(), check.status)
}

fn missing_lines(check: &Check) -> String {
    let caution =
        check.caution.as_ref().map(|caution| format!("      Caution: {caution}\n")).unwrap_or_default();
    let option = format!("--{}", check.called());
    format!("  {option:24} {}\n      {}: {}\n{caution}", takes(check), check.title, grounds(check))
}

fn verdict_json(check: &Check, verdict: &Verdict) -> Value {
    json!({
        "check": check.code, "option": check.called(), "title": check.title, "pass": verdict.pass,
        "refuses": verdict.refuses(), "to_be_confirmed": verdict.to_be_confirmed,
        "reading": verdict.reading.map(|reading| reading.to_string()), "limit": verdict.limit,
        "rule": verdict.rule, "edition": verdict.edition, "status": verdict.status.code(),
    })
}

fn missing_json(check: &Check) -> Value {
    json!({
        "check": check.code, "option": check.called(), "title": check.title, "limit": check.limit_text(),
        "rule": check.rule, "status": check.status.code(), "unit": check.unit().map(Unit::name),
        "caution": check.caution,
    })
}

#[cfg(test)]
#[path = "prove_tests.rs"]
mod tests;
