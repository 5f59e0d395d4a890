//! `remise head what-if`: moves are tried first, and done when they are meant.

use std::ffi::OsString;
use std::io::{self, BufRead as _, IsTerminal as _, Write};

use clap::{Args, Parser, Subcommand};
use remise_core::armoury::Command;
use remise_core::time::{Span, Stamp};
use remise_link::view::{Fate, JobView, MovedJob, PlanSums, WhatIf};
use remise_link::{Clock as _, Link, Sent, SystemClock, command_name, live_id};
use serde_json::{Value, json};

use super::head::HeadAction;
use super::intake::FencerNews;
use super::online::object;
use super::setting::Setting;
use super::show::{columns, heading};
use super::todo::{Todo, Trial};
use super::{Shown, said};
use crate::exit;
use crate::failure::Failure;
use crate::local::VenueClock;

/// Most moves that are tried together; the server's own limit.
const MOST: usize = 20;

const EXAMPLES: &str = "\
A move is written as the action that would do it: close-bench, open-bench, pin, take-over, hold,
release, want-by, set-need, call-off, fencer-out, fencer-in.

Examples:
  remise head what-if --move \"close-bench 2 --at 14:00\"
  remise head what-if --move \"want-by --tag 12340 --wanted 14:10\" --move \"pin --tag 23456 --bench 3\"
  remise head what-if --move \"hold --tag 12340 --reason part-missing\" --do-it";

/// What is tried.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLES)]
pub struct TrialArgs {
    /// A move, in the words of the action that would do it; once for each, in order
    #[arg(long = "move", value_name = "MOVE", required = true)]
    pub moves: Vec<String>,
    /// Do it afterwards without asking; without it, you are asked when you sit at a terminal
    #[arg(long)]
    pub do_it: bool,
}

/// One move as it is typed.
#[derive(Debug, Parser)]
#[command(name = "move", no_binary_name = true, disable_help_flag = true, disable_help_subcommand = true)]
struct MoveLine {
    #[command(subcommand)]
    action: MoveAction,
}

#[derive(Debug, Subcommand)]
enum MoveAction {
    /// Out of the competition, or in it after all
    #[command(flatten)]
    Fencer(FencerNews),
    /// Head
    #[command(flatten)]
    Head(HeadAction),
}

impl TrialArgs {
    /// The moves as commands.
    pub fn trial(&self, setting: &Setting) -> Result<Trial, Failure> {
        if self.moves.len() > MOST {
            return Err(Failure::usage(format!("more than {MOST} moves"), "Try fewer at a time."));
        }
        let moves = self.moves.iter().map(|line| read(line, setting)).collect::<Result<_, _>>()?;
        Ok(Trial { moves, do_it: self.do_it })
    }
}

fn read(line: &str, setting: &Setting) -> Result<Command, Failure> {
    let wrong =
        |why: String| Failure::usage(format!("--move \"{line}\": {why}"), "Correct it and try again.");
    let words = words(line).map_err(|why| wrong(why.to_owned()))?;
    let parsed = MoveLine::try_parse_from(words).map_err(|error| {
        let text = error.render().to_string();
        wrong(text.lines().next().unwrap_or_default().trim_start_matches("error: ").to_owned())
    })?;
    match parsed.action {
        MoveAction::Fencer(news) => Ok(news.command()),
        MoveAction::Head(HeadAction::WhatIf(_)) => Err(wrong("a question is no move".to_owned())),
        MoveAction::Head(action) => match action.todo(setting)? {
            Todo::Send(command) => Ok(*command),
            _ => Err(wrong("it changes nothing, so there is nothing to try".to_owned())),
        },
    }
}

/// The words of a line; quotes of either kind keep words together.
fn words(line: &str) -> Result<Vec<OsString>, &'static str> {
    let mut words = Vec::new();
    let mut word: Option<String> = None;
    let mut quote = None;
    for c in line.chars() {
        match quote {
            Some(open) if c == open => quote = None,
            None if c == '"' || c == '\'' => {
                quote = Some(c);
                word.get_or_insert_default();
            }
            None if c.is_whitespace() => words.extend(word.take().map(OsString::from)),
            _ => word.get_or_insert_default().push(c),
        }
    }
    words.extend(word.map(OsString::from));
    if quote.is_some() { Err("a quote is not closed") } else { Ok(words) }
}

/// Tries the moves, shows what they change, and does them when that is wanted.
pub(super) async fn run(
    link: &Link,
    setting: &Setting,
    trial: &Trial,
    json: bool,
    out: &mut dyn Write,
) -> Result<Shown, Failure> {
    let what = link.what_if(&trial.moves).await.map_err(Failure::asking)?;
    let mut answer = object("what_if", &what)?;
    let mut text = told(&what, &setting.clock);
    let mut wanted = trial.do_it;
    if !wanted && !json && io::stdin().is_terminal() && io::stderr().is_terminal() {
        // Whoever does not read it any more does not answer either.
        let shown = writeln!(out, "{}", text.trim_end()).and_then(|()| out.flush());
        text = String::new();
        wanted = shown.is_ok() && yes();
    }
    let ending = if wanted {
        done(link, &trial.moves, &setting.clock).await?.join("\n")
    } else {
        "Nothing was done.".to_owned()
    };
    text = if text.is_empty() { ending } else { format!("{}\n\n{ending}", text.trim_end()) };
    answer["done"] = Value::Bool(wanted);
    answer["moves"] = json!(trial.moves.iter().map(command_name).collect::<Vec<_>>());
    Ok(Shown { text, json: answer })
}

/// Asks at the terminal; anything but a clear yes is a no.
fn yes() -> bool {
    // Nobody is left to ask when the error stream fails.
    let _ = write!(io::stderr(), "Do it? [y/N] ").and_then(|()| io::stderr().flush());
    let mut line = String::new();
    let read = io::stdin().lock().read_line(&mut line);
    read.is_ok() && matches!(line.trim().to_lowercase().as_str(), "y" | "yes")
}

/// Does the moves one after the other; the first that is not accepted ends it and says what was done.
async fn done(link: &Link, moves: &[Command], clock: &VenueClock) -> Result<Vec<String>, Failure> {
    let mut lines = Vec::new();
    for (index, command) in moves.iter().enumerate() {
        let request_id = live_id(SystemClock.now());
        let sent = Sent { request_id, happened_at: None, command: command.clone() };
        match link.send(&sent).await {
            Ok(accepted) => {
                lines.push(said::sentence(command, &accepted, clock));
                lines.extend(accepted.advice);
            }
            Err(error) => {
                let mut failure = Failure::from(error).sent_as(request_id);
                let before = if lines.is_empty() {
                    "no move was done before it".to_owned()
                } else {
                    format!("done before it: {}", lines.join(" "))
                };
                if !lines.is_empty() && failure.exit == exit::REFUSED {
                    failure.unharmed = "What was done before stays done; the moves after it were not tried.";
                }
                failure.message = format!("move {}: {}; {before}", index + 1, failure.message);
                return Err(failure);
            }
        }
    }
    Ok(lines)
}

/// What the moves would change, for people.
fn told(what: &WhatIf, clock: &VenueClock) -> String {
    let mut text = String::new();
    if what.moved.is_empty() {
        text.push_str("No job would be ready at another time.\n");
    } else {
        let mut rows = vec![heading(&["tag", "item", "fencer", "now planned", "then", "moves by"])];
        rows.extend(what.moved.iter().map(|moved| row(moved, clock)));
        text += &columns(&rows);
    }
    let sums = [
        heading(&["", "late", "weighted min late", "no bench or time", "held"]),
        figures("now", what.before),
        figures("then", what.after),
    ];
    text = format!("{}\n\n{}", text.trim_end(), columns(&sums));
    for line in &what.advice {
        text = format!("{}\n{line}", text.trim_end());
    }
    text
}

fn figures(title: &str, sums: PlanSums) -> Vec<String> {
    let numbers = [
        sums.late.to_string(),
        sums.weighted_late_min.to_string(),
        sums.nowhere.to_string(),
        sums.held.to_string(),
    ];
    [title.to_owned()].into_iter().chain(numbers).collect()
}

fn row(moved: &MovedJob, clock: &VenueClock) -> Vec<String> {
    let job: &JobView = &moved.job;
    vec![
        job.tag.map_or_else(|| format!("job {}", job.job), |tag| tag.to_string()),
        job.kind.title().to_owned(),
        job.fencer.clone().unwrap_or_default(),
        fate(&moved.before, clock),
        fate(&moved.after, clock),
        moves_by(&moved.before, &moved.after),
    ]
}

fn fate(fate: &Fate, clock: &VenueClock) -> String {
    let Some(bench) = fate.bench else {
        return match fate.unplaced.as_deref() {
            Some("held") => "held",
            Some("no_bench") => "no bench does it",
            Some("no_time") => "no bench has time",
            _ => "needs no bench",
        }
        .to_owned();
    };
    let safe = fate.ready.and_then(|ready| ready.safe);
    let parts = [
        Some(format!("bench {bench}")),
        fate.ready.map(|ready| format!("likely {}", clock.show(ready.likely))),
        safe.map(|safe| format!("safe {}", clock.show(safe))),
        (fate.late > Span::ZERO).then(|| format!("{} late", fate.late)),
    ];
    parts.into_iter().flatten().collect::<Vec<_>>().join(", ")
}

/// By how many minutes the likely time moves.
fn moves_by(before: &Fate, after: &Fate) -> String {
    let likely = |fate: &Fate| fate.ready.map(|ready| ready.likely);
    let Some((was, is)) = likely(before).zip(likely(after)) else { return String::new() };
    let minutes = |later: Stamp, earlier: Stamp| later.since(earlier).ceil_min();
    if is >= was { format!("+{} min", minutes(is, was)) } else { format!("-{} min", minutes(was, is)) }
}

#[cfg(test)]
mod tests {
    //! The move lines against the words of the actions; the sentences by hand, no outside source.
    #![allow(clippy::unwrap_used)]
    use remise_core::armoury::{HoldReason, JobRef, Need};
    use remise_core::ids::{BenchId, JobId};
    use remise_core::tag::Tag;
    use remise_link::view::{ReadyBy, Welcome};

    use super::*;

    const NOON: Stamp = Stamp(1_777_723_200_000_000);

    fn setting() -> Setting {
        let welcome = Welcome { zone: "Etc/UTC".into(), now: NOON, ..Welcome::default() };
        Setting::new(&welcome, None, None, false)
    }

    fn job() -> JobRef {
        JobRef::Tag(Tag::parse("12340").unwrap())
    }

    #[test]
    fn a_move_is_written_as_its_action() {
        for (line, command) in [
            ("close-bench 2", Command::CloseBench { bench: BenchId(2) }),
            ("close-bench 2 --at 14:00", Command::CloseBenchAt { bench: BenchId(2), at: NOON.plus_min(120) }),
            ("open-bench 3", Command::OpenBench { bench: BenchId(3) }),
            ("pin --tag 12340 --bench 3", Command::Pin { job: job(), bench: Some(BenchId(3)) }),
            ("release --tag 12340", Command::Release { job: job() }),
            ("set-need --tag 12340 --need none-left", Command::SetNeed { job: job(), need: Need::NoneLeft }),
            ("fencer-out 'Ida Test'", Command::FencerOut { fencer: "Ida Test".into() }),
            (
                "hold --tag 12340 --reason part-missing --note \"no tips left\"",
                Command::Hold {
                    job: job(),
                    reason: HoldReason::PartMissing,
                    note: Some("no tips left".into()),
                },
            ),
            (
                "call-off --job 17 --reason new",
                Command::CallOff { job: JobRef::Job(JobId(17)), reason: "new".into() },
            ),
        ] {
            assert_eq!(read(line, &setting()).unwrap(), command, "{line}");
        }
    }

    #[test]
    fn what_is_no_move_is_refused_with_the_line() {
        for line in ["", "room", "night", "close-bench", "juggle 3", "hold 'x", "what-if --move room"] {
            let failure = read(line, &setting()).unwrap_err();
            assert!(failure.message.starts_with("--move"), "{line}: {}", failure.message);
        }
        let many = TrialArgs { moves: vec!["open-bench 3".to_owned(); MOST + 1], do_it: false };
        assert!(many.trial(&setting()).is_err());
    }

    #[test]
    fn before_and_after_stand_side_by_side() {
        let at = |minutes| Some(ReadyBy { likely: NOON.plus_min(minutes), safe: None, said: None });
        let was = Fate { bench: Some(BenchId(1)), ready: at(20), ..Fate::default() };
        let is = Fate { bench: Some(BenchId(2)), ready: at(31), late: Span::minutes(4), ..Fate::default() };
        let clock = setting().clock;
        assert_eq!(fate(&was, &clock), "bench 1, likely 12:20");
        assert_eq!(fate(&is, &clock), "bench 2, likely 12:31, 4 min late");
        assert_eq!((moves_by(&was, &is), moves_by(&is, &was)), ("+11 min".into(), "-11 min".into()));
        let lost = Fate { unplaced: Some("no_time".into()), ..Fate::default() };
        assert_eq!(
            (fate(&lost, &clock).as_str(), moves_by(&was, &lost)),
            ("no bench has time", String::new())
        );
    }
}
