//! The command line: what all commands share, and the areas.

use std::ffi::OsString;
use std::path::PathBuf;

use clap::{Args, Parser, Subcommand};
use remise_core::ids::{BenchId, StripId};
use remise_link::{Address, OpenStation, RequestId, Role, Token};

use crate::commands::{
    BenchAction, CounterAction, ExplainArea, GearAction, GuideArea, HeadAction, JournalAction, ProveArea,
    StripAction, WeighArea,
};
use crate::failure::Failure;
use crate::named::Named;

/// The armoury of a fencing tournament, from a terminal.
#[derive(Debug, Parser)]
#[command(name = "remise", version, max_term_width = 100, after_help = EXAMPLES, disable_help_subcommand = true)]
pub struct Cli {
    /// What all commands share.
    #[command(flatten)]
    pub common: Common,
    /// The area.
    #[command(subcommand)]
    pub area: Area,
}

/// Heading over the options that every command has.
const EVERYWHERE: &str = "With every action";

const EXAMPLES: &str = "\
Examples:
  remise strip hand-in --strip 3 --fencer \"Ida Test\" --item foil --complaint white_on_off \\
      --need none_left --wanted 14:20
  remise counter scan --job 17 --tag 12340
  remise bench take --bench 2 --tag 12340
  remise head night --json

Exit codes: 0 done, 1 refused by a rule, 2 wrong usage, 3 server away, 4 not allowed, 5 broken,
6 a proof without a failure that is not complete.
Data goes to standard output, messages to standard error. With --json exactly one JSON object
goes to standard output; its times are microseconds since 1970-01-01T00:00:00Z.
Kinds of item, complaints, faults and checks: remise gear list [KIND]";

/// What all commands share.
#[derive(Clone, Debug, Args)]
pub struct Common {
    /// The server: HOST or HOST:PORT
    #[arg(long, global = true, help_heading = EVERYWHERE, env = "REMISE_SERVER", value_name = "ADDR", default_value = "127.0.0.1")]
    pub server: String,
    /// The station's token; better kept in the environment, where other users cannot see it
    #[arg(long, global = true, help_heading = EVERYWHERE, env = "REMISE_TOKEN", hide_env_values = true, value_name = "TOKEN")]
    pub token: Option<String>,
    /// Name of this station, for a server without stations
    #[arg(long, global = true, help_heading = EVERYWHERE, env = "REMISE_STATION", value_name = "NAME")]
    pub station: Option<String>,
    /// Print one JSON object instead of sentences
    #[arg(long, global = true, help_heading = EVERYWHERE)]
    pub json: bool,
    /// When it happened, for what is entered late: 14:20 or 2026-05-02T14:20
    #[arg(long, global = true, help_heading = EVERYWHERE, value_name = "TIME")]
    pub happened_at: Option<String>,
    /// Id of an earlier try, to repeat it safely: nothing is done twice
    #[arg(long, global = true, help_heading = EVERYWHERE, value_name = "UUID")]
    pub request_id: Option<RequestId>,
    /// Where a screen writes its log; without it, nowhere
    #[arg(long, global = true, help_heading = EVERYWHERE, value_name = "FILE")]
    pub log: Option<PathBuf>,
}

/// The areas of the program.
#[derive(Debug, Subcommand)]
pub enum Area {
    /// At a strip; without an action: the strip's screen
    Strip(StripArea),
    /// At the counter by the armoury's door; without an action: the counter's screen
    Counter(CounterArea),
    /// At a bench; without an action: the bench's screen
    Bench(BenchArea),
    /// For the head armourer; without an action: the room's screen
    Head(HeadArea),
    /// What has happened
    #[command(arg_required_else_help = true)]
    Journal(JournalArea),
    /// Kinds of item, complaints, faults and checks; needs no server
    #[command(arg_required_else_help = true)]
    Gear(GearArea),
    /// What a fault makes lamps and meter show, and which faults fit what was seen; needs no server
    #[command(arg_required_else_help = true)]
    Explain(ExplainArea),
    /// From a complaint and what was found to the probable causes and the next check; needs no server
    #[command(arg_required_else_help = true)]
    Guide(GuideArea),
    /// Verdicts on an item by an edition of the rules; needs no server
    #[command(arg_required_else_help = true)]
    Prove(ProveArea),
    /// Lasting repair or stop-gap: what each costs; needs no server
    Weigh(WeighArea),
    /// Play a day with invented people through a real server
    #[command(disable_help_flag = true)]
    Rehearse {
        /// Passed on as they are
        #[arg(trailing_var_arg = true, allow_hyphen_values = true)]
        args: Vec<OsString>,
    },
    /// Write completions for a shell
    #[command(hide = true)]
    Completions {
        /// Which shell
        shell: clap_complete::Shell,
    },
}

/// At a strip.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  remise strip hand-in --strip 3 --fencer \"Ida Test\" --item foil --complaint white_on_off \\
      --need none_left --pool 7 --place 3 --bout 5 --bout-min 5")]
pub struct StripArea {
    /// The strip's number; a strip's own station may leave it out
    #[arg(long, global = true, help_heading = EVERYWHERE, value_name = "NUMBER", value_parser = clap::value_parser!(u16).range(1..))]
    pub strip: Option<u16>,
    /// What to do.
    #[command(subcommand)]
    pub action: Option<StripAction>,
}

/// At the counter.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  remise counter hand-back --tag 12340 --to \"Ida Test\"")]
pub struct CounterArea {
    /// What to do.
    #[command(subcommand)]
    pub action: Option<CounterAction>,
}

/// At a bench.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  remise bench prove --tag 12340 --check foil_resistance --reading 1.8ohm")]
pub struct BenchArea {
    /// The bench's number; a bench's own station may leave it out
    #[arg(long, global = true, help_heading = EVERYWHERE, value_name = "NUMBER", value_parser = clap::value_parser!(u16).range(1..))]
    pub bench: Option<u16>,
    /// What to do.
    #[command(subcommand)]
    pub action: Option<BenchAction>,
}

/// For the head armourer.
#[derive(Debug, Args)]
#[command(after_help = "\
Example:
  remise head count --place ready-shelf 12340 23456")]
pub struct HeadArea {
    /// What to do.
    #[command(subcommand)]
    pub action: Option<HeadAction>,
}

/// What has happened.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  remise journal read --from 1 --limit 50 --json")]
pub struct JournalArea {
    /// What to do.
    #[command(subcommand)]
    pub action: JournalAction,
}

/// Kinds of item, complaints, faults and checks.
#[derive(Debug, Args)]
#[command(after_help = "Example:\n  remise gear list foil")]
pub struct GearArea {
    /// What to do.
    #[command(subcommand)]
    pub action: GearAction,
}

impl Area {
    /// Who an open server is told is asking: role, strip, bench. A strip or bench that is not named cannot be
    /// claimed.
    fn claims(&self) -> Option<(Role, Option<StripId>, Option<BenchId>)> {
        match self {
            Self::Strip(area) => area.strip.map(|id| (Role::Strip, Some(StripId(id)), None)),
            Self::Bench(area) => area.bench.map(|id| (Role::Bench, None, Some(BenchId(id)))),
            Self::Counter(_) => Some((Role::Counter, None, None)),
            _ => Some((Role::Head, None, None)),
        }
    }
}

impl Cli {
    /// The strip or the bench that was named on the command line.
    pub fn named(&self) -> Named {
        let (_, strip, bench) = self.area.claims().unwrap_or((Role::Head, None, None));
        Named { strip, bench }
    }

    /// Where the server is and who is asking. With a token, the token says who.
    ///
    /// # Errors
    /// A [`Failure`] of usage when the address or the token is none.
    pub fn address(&self) -> Result<Address, Failure> {
        let mut address = Address::parse(&self.common.server)?;
        match &self.common.token {
            Some(token) => address.token = Some(Token::new(token)?),
            None => {
                address.open = self.area.claims().map(|(role, strip, bench)| OpenStation {
                    role,
                    name: self.common.station.clone().unwrap_or_else(|| role.code().to_owned()),
                    strip,
                    bench,
                });
            }
        }
        Ok(address)
    }
}
