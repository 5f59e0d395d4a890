//! `remise weigh`: lasting repair or stop-gap, and what each costs in expectation. Needs no server; the armourer decides.

use std::path::PathBuf;

use clap::Args;
use remise_core::armoury::Need;
use remise_core::gear::{self, Fault};
use remise_core::lasting::{self, Circumstances, Cost, Estimates, Returns, SPARED_AFTER_H, Way, Weighed};
use remise_core::text;
use serde_json::{Value, json};

use super::Shown;
use super::estimates;
use super::parts::need;
use crate::failure::Failure;

/// What is weighed.
#[derive(Debug, Args)]
#[command(after_help = EXAMPLES)]
pub struct WeighArea {
    /// The fault, by its code in `remise gear list KIND`; left out, every fault that has a stop-gap
    #[arg(value_name = "FAULT")]
    pub fault: Option<String>,
    /// What the fencer still has
    #[arg(long, value_name = "NEED", default_value = "one_left", value_parser = need)]
    pub need: Need,
    /// Minutes left until it must be ready; below 0 when it is late
    #[arg(long, value_name = "MIN", default_value_t = 20.0, allow_negative_numbers = true, value_parser = minutes)]
    pub left: f64,
    /// Hours of fencing until the fencer can spare it for the lasting repair, or is out
    #[arg(long, value_name = "HOURS", default_value_t = SPARED_AFTER_H, value_parser = hours)]
    pub to_fence: f64,
    /// How many such stop-gaps have failed again here
    #[arg(long, value_name = "NUMBER", default_value_t = 0, requires = "stood")]
    pub failed: u32,
    /// Hours of fencing that such stop-gaps have stood here, all told
    #[arg(long, value_name = "HOURS", default_value_t = 0.0, value_parser = hours)]
    pub stood: f64,
    /// Estimates of your own, in the form of the built-in ones
    #[arg(long, value_name = "FILE")]
    pub estimates: Option<PathBuf>,
}

const EXAMPLES: &str = "\
Examples:
  remise weigh                                             the faults that have a stop-gap
  remise weigh foil_barrel_loose --left 12 --need none_left
  remise weigh jacket_dead_spot --left 40 --to-fence 2 --failed 3 --stood 11 --json";

/// Nobody fences longer than this.
const HOURS_MOST: f64 = 100.0;
/// A day and night, either way.
const MINUTES_MOST: f64 = 1440.0;
/// No code is as long, in characters.
const LONGEST_CODE: usize = 60;

fn minutes(typed: &str) -> Result<f64, String> {
    within(typed, -MINUTES_MOST..=MINUTES_MOST).ok_or_else(|| "minutes from -1440 to 1440".to_owned())
}

fn hours(typed: &str) -> Result<f64, String> {
    within(typed, 0.0..=HOURS_MOST).ok_or_else(|| "hours from 0 to 100".to_owned())
}

fn within(typed: &str, range: std::ops::RangeInclusive<f64>) -> Option<f64> {
    typed.trim().parse().ok().filter(|value| range.contains(value))
}

impl WeighArea {
    /// Weighs it.
    pub(super) fn run(&self) -> Result<Shown, Failure> {
        let own = self.estimates.as_deref().map(|path| estimates::read(path, lasting::parse)).transpose()?;
        let estimates = own.as_ref().unwrap_or_else(|| Estimates::built_in());
        let Some(typed) = &self.fault else { return Ok(list(estimates)) };
        let fault = find(typed)?;
        let now = Circumstances {
            need: self.need,
            left_min: self.left,
            to_fence_h: self.to_fence,
            stop_gaps: Returns { failures: self.failed, hours: self.stood },
        };
        lasting::weigh(estimates, fault.id, &now).map(|weighed| shown(fault, &now, &weighed)).ok_or_else(
            || {
                let message = format!("{} has one way of mending only: {}", fault.id, fault.repair);
                Failure::usage(message, "`remise weigh` lists the faults that have a stop-gap.")
            },
        )
    }
}

fn find(typed: &str) -> Result<&'static Fault, Failure> {
    let word: String = typed.trim().to_lowercase().replace('-', "_").chars().take(LONGEST_CODE).collect();
    gear::fault(&word).ok_or_else(|| {
        let known = Estimates::built_in().faults.iter().map(|ways| ways.fault);
        let near = text::nearest(&word, known, 0.75);
        let meant = near.map_or_else(String::new, |near| format!("; did you mean `{near}`?"));
        let safe: String = word.chars().filter(|c| !c.is_control()).collect();
        let message = format!("no fault has the code `{safe}`{meant}");
        Failure::usage(message, "`remise weigh` lists the faults that have a stop-gap.")
    })
}

fn list(estimates: &Estimates) -> Shown {
    let line = |ways: &lasting::TwoWays| {
        format!("{:28}{}; lasting: {}\n", ways.fault, ways.stop_gap.what, ways.lasting.what)
    };
    let text = estimates.faults.iter().map(line).collect::<String>();
    let json = |ways: &lasting::TwoWays| {
        json!({ "fault": ways.fault, "stop_gap": way_json(&ways.stop_gap), "lasting": way_json(&ways.lasting),
                "holds_h": ways.holds_h })
    };
    Shown {
        text: format!("Faults that have a stop-gap\n{text}\n{ESTIMATES}\n"),
        json: json!({ "ok": true, "faults": estimates.faults.iter().map(json).collect::<Vec<_>>() }),
    }
}

const ESTIMATES: &str = "Minutes and how long a stop-gap holds are estimates of ours, no source.";

fn shown(fault: &Fault, now: &Circumstances, weighed: &Weighed<'_>) -> Shown {
    let (stop_gap, lasting) = (&weighed.stop_gap, &weighed.lasting);
    let [one, other, less] = weighed.lines();
    let text = format!(
        "{}, {}, ready in {} min to be in time, then {} h of fencing\n{one}\n{other}\n\n{less}\n{ESTIMATES}\n",
        fault.title,
        now.need.title(),
        now.left_min,
        now.to_fence_h
    );
    let json = json!({
        "ok": true,
        "fault": fault.id,
        "need": now.need.code(),
        "left_min": now.left_min,
        "to_fence_h": now.to_fence_h,
        "lasting": cost_json(&weighed.ways.lasting, lasting),
        "stop_gap": cost_json(&weighed.ways.stop_gap, stop_gap),
        "costs_less": if weighed.for_stop_gap() { "stop_gap" } else { "lasting" },
    });
    Shown { text, json }
}

fn way_json(way: &Way) -> Value {
    let minutes = way.minutes;
    json!({ "what": way.what, "likely_min": minutes.likely, "low_min": minutes.low, "high_min": minutes.high,
            "curing_min": way.curing_min })
}

fn cost_json(way: &Way, cost: &Cost) -> Value {
    let mut object = way_json(way);
    object["ready_min"] = json!(cost.ready_min);
    object["late"] = json!(cost.late);
    object["late_min"] = json!(cost.late_min);
    object["fails"] = json!(cost.fails);
    object["loss"] = json!(cost.loss);
    object
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use super::*;
    use crate::commands::run;
    use crate::commands::tests::argv;
    use crate::exit;

    fn weigh(line: &str) -> (u8, String, String) {
        let (mut out, mut err) = (Vec::new(), Vec::new());
        let code = run(argv(&format!("weigh {line}")), &mut out, &mut err);
        (code, String::from_utf8(out).unwrap(), String::from_utf8(err).unwrap())
    }

    fn json(line: &str) -> Value {
        serde_json::from_str(&weigh(&format!("{line} --json")).1).unwrap()
    }

    #[test]
    fn both_ways_stand_in_a_line_each_and_the_time_left_decides() {
        let (code, text, err) = weigh("foil_barrel_loose --left 6");
        assert_eq!((code, err.as_str()), (exit::DONE, ""));
        assert!(text.lines().any(|line| line.starts_with("Lasting   wire the blade anew")), "{text}");
        assert!(text.lines().any(|line| line.starts_with("Stop-gap  tighten the barrel")), "{text}");
        assert!(
            text.contains("is owed") && text.contains("you decide") && text.contains("estimates"),
            "{text}"
        );
        assert_eq!(json("foil-barrel-loose --left 6")["costs_less"], "stop_gap");
        assert_eq!(json("foil_barrel_loose --left 90")["costs_less"], "lasting");
        assert_eq!(json("foil_barrel_loose --left -5")["lasting"]["late"], 1.0);
    }

    #[test]
    fn estimates_of_ones_own_are_used_and_a_bad_file_is_named() {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("own.txt");
        let good = "again_min 15\nlasting_holds_h 300\nworth_failures 2\nfencing_share 0.25\nfault foil_spring_weak\nstop_gap stretch it | 3 1 5\nlasting fit one | table\nholds_h 90\n";
        std::fs::write(&path, good).unwrap();
        let line = format!("foil_spring_weak --left 2 --estimates {}", path.display());
        assert!(
            json(&line)["stop_gap"]["fails"].as_f64()
                < json("foil_spring_weak --left 2")["stop_gap"]["fails"].as_f64()
        );
        std::fs::write(&path, good.replace("15", "fifteen")).unwrap();
        let (code, _, err) = weigh(&line);
        assert_eq!(code, exit::USAGE);
        assert!(err.contains("own.txt: line 1: that is no figure"), "{err}");
    }

    #[test]
    fn what_cannot_be_weighed_is_told() {
        for (line, expected) in [
            ("foil_point_dirty", "one way of mending only"),
            ("foil_barel_loose", "did you mean `foil_barrel_loose`?"),
            ("foil_barrel_loose --left soon", "minutes from -1440 to 1440"),
            ("foil_barrel_loose --to-fence 101", "hours from 0 to 100"),
            ("foil_barrel_loose --need much", "one_left"),
            ("foil_barrel_loose --estimates nowhere.txt", "nowhere.txt"),
        ] {
            let (code, out, err) = weigh(line);
            assert_eq!((code, out.as_str()), (exit::USAGE, ""), "{line}");
            assert!(err.contains(expected), "{line}: {err}");
        }
        assert!(weigh("").1.contains("jacket_dead_spot"));
    }
}
