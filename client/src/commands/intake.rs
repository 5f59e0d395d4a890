//! Handing in, whose it is, who is out, loans, call-outs.

use clap::{Args, Subcommand};
use remise_core::armoury::{Command, HandIn, HandInItem, JobRef, Need, Spot, Whose};
use remise_core::gear::{Complaint, ItemKind};
use remise_core::ids::{ItemId, JobId, StripId};
use remise_core::tag::Tag;

use super::parts::{WantedArgs, Which, complaint, kind, name, need, note, spot, tag};
use super::setting::Setting;
use crate::failure::Failure;

/// Whether a fencer is still in the competition.
#[derive(Debug, Subcommand)]
pub enum FencerNews {
    /// The fencer is out of the competition: nothing is urgent any more
    FencerOut {
        /// The fencer's name
        #[arg(value_parser = name)]
        fencer: String,
    },
    /// The fencer was said to be out by mistake
    FencerIn {
        /// The fencer's name
        #[arg(value_parser = name)]
        fencer: String,
    },
}

impl FencerNews {
    /// The command that is meant.
    pub fn command(&self) -> Command {
        match self {
            Self::FencerOut { fencer } => Command::FencerOut { fencer: fencer.clone() },
            Self::FencerIn { fencer } => Command::FencerIn { fencer: fencer.clone() },
        }
    }
}

/// What brings items and people's news to the armoury.
#[derive(Debug, Subcommand)]
pub enum Intake {
    /// Hand faulty items in
    HandIn(Box<HandInArgs>),
    /// Say whose an unknown item is
    Claim {
        /// Which job
        #[command(flatten)]
        which: Which,
        /// The fencer's name
        #[arg(long, value_parser = name)]
        fencer: String,
    },
    /// Out of the competition, or in it after all
    #[command(flatten)]
    Fencer(FencerNews),
    /// Something was lent to the fencer
    Lend(LoanArgs),
    /// The loan came back
    LoanBack(LoanArgs),
    /// The strip stands still: somebody must come
    CallOut {
        /// The strip, when it is not this one
        #[arg(long, value_name = "STRIP", value_parser = clap::value_parser!(u16).range(1..))]
        at: Option<u16>,
        /// What is wrong
        #[arg(long, value_parser = note)]
        note: Option<String>,
    },
}

/// A loan.
#[derive(Debug, Args)]
pub struct LoanArgs {
    /// The fencer's name
    #[arg(long, value_parser = name)]
    pub fencer: String,
    /// Kind of item
    #[arg(long, value_name = "KIND", value_parser = kind)]
    pub item: ItemKind,
}

/// Whose the items are.
#[derive(Debug, Args)]
#[group(required = true, multiple = false)]
pub struct WhoseArgs {
    /// A fencer's
    #[arg(long, value_name = "NAME", value_parser = name)]
    pub fencer: Option<String>,
    /// A team's
    #[arg(long, value_name = "NAME", value_parser = name)]
    pub team: Option<String>,
    /// Nobody knows yet
    #[arg(long)]
    pub unknown: bool,
    /// The tournament's own: a reel, a cable, a box
    #[arg(long)]
    pub house: bool,
}

/// Handing in.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  remise strip hand-in --strip 3 --fencer \"Ida Test\" --item foil --complaint white_on_off \\
      --need none_left --wanted 14:20 --tag 12340
  remise counter hand-in --team \"Test Town\" --item \"body cord, bayonet\" --complaint falls_out \\
      --need one_left --tag 12340 --and mask_cord,hits_come_and_go,two_or_more,98764")]
pub struct HandInArgs {
    /// Whose it is
    #[command(flatten)]
    pub whose: WhoseArgs,
    /// Kind of item: a code, or as people call it
    #[arg(long, value_name = "KIND", value_parser = kind)]
    pub item: ItemKind,
    /// What the strip saw
    #[arg(long, value_name = "CODE", value_parser = complaint)]
    pub complaint: Complaint,
    /// What the fencer still has working of that kind
    #[arg(long, value_name = "WORD", value_parser = need)]
    pub need: Need,
    /// In the strip's own words
    #[arg(long, value_parser = note)]
    pub note: Option<String>,
    /// The tag that is tied to it
    #[arg(long, value_name = "DIGITS", value_parser = tag)]
    pub tag: Option<Tag>,
    /// Its number for life, when it has been here before and somebody knows it
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u64).range(1..))]
    pub item_number: Option<u64>,
    /// One item more: KIND,COMPLAINT,NEED or KIND,COMPLAINT,NEED,TAG; may be repeated
    #[arg(long = "and", value_name = "ITEM", value_parser = one_more)]
    pub more: Vec<HandInItem>,
    /// By when
    #[command(flatten)]
    pub wanted: WantedArgs,
    /// The owner, where that is somebody else
    #[arg(long, value_name = "NAME", value_parser = name)]
    pub owner: Option<String>,
    /// Who brings it, where that is somebody else
    #[arg(long, value_name = "NAME", value_parser = name)]
    pub bringer: Option<String>,
    /// The strip official
    #[arg(long, value_name = "NAME", value_parser = name)]
    pub official: Option<String>,
    /// Where it comes from, when not from here: a strip's number or `counter`
    #[arg(long, value_name = "SPOT", value_parser = spot)]
    pub from: Option<Spot>,
    /// Where it goes back to, when not to where it came from
    #[arg(long, value_name = "SPOT", value_parser = spot)]
    pub back_to: Option<Spot>,
    /// It is in the armoury already; so it is at the counter
    #[arg(long)]
    pub in_room: bool,
}

/// `mask_cord,hits_come_and_go,two_or_more,98764`.
fn one_more(typed: &str) -> Result<HandInItem, String> {
    let parts: Vec<&str> = typed.split(',').collect();
    let (first, last) = match parts[..] {
        [_, _, _] => (&parts[..], None),
        [_, _, _, last] => (&parts[..3], Some(last)),
        _ => return Err("an item more is KIND,COMPLAINT,NEED or KIND,COMPLAINT,NEED,TAG".into()),
    };
    Ok(HandInItem {
        kind: kind(first[0])?,
        item: None,
        complaint: complaint(first[1])?,
        note: None,
        tag: last.map(tag).transpose()?,
        need: need(first[2])?,
    })
}

impl Intake {
    /// The command that is meant.
    pub fn command(&self, setting: &Setting) -> Result<Command, Failure> {
        Ok(match self {
            Self::HandIn(args) => Command::HandIn(args.hand_in(setting)?),
            Self::Claim { which, fencer } => Command::Claim { job: which.job_ref()?, fencer: fencer.clone() },
            Self::Fencer(news) => news.command(),
            Self::Lend(LoanArgs { fencer, item }) => Command::Lend { fencer: fencer.clone(), kind: *item },
            Self::LoanBack(LoanArgs { fencer, item }) => {
                Command::LoanBack { fencer: fencer.clone(), kind: *item }
            }
            Self::CallOut { at, note } => {
                let strip = at.map_or_else(|| setting.strip(), |id| Ok(StripId(id)))?;
                Command::CallOut { strip, note: note.clone() }
            }
        })
    }
}

impl HandInArgs {
    fn hand_in(&self, setting: &Setting) -> Result<HandIn, Failure> {
        let came_from = self.from.map_or_else(|| setting.spot(), Ok)?;
        let mut items = vec![HandInItem {
            kind: self.item,
            item: self.item_number.map(ItemId),
            complaint: self.complaint,
            note: self.note.clone(),
            tag: self.tag,
            need: self.need,
        }];
        items.extend(self.more.iter().cloned());
        Ok(HandIn {
            whose: self.whose.whose(),
            owner: self.owner.clone(),
            bringer: self.bringer.clone(),
            official: self.official.clone(),
            came_from,
            back_to: self.back_to.unwrap_or(came_from),
            wanted: self.wanted.read(setting)?,
            in_room: self.in_room || setting.at_counter,
            items,
        })
    }
}

impl WhoseArgs {
    fn whose(&self) -> Whose {
        match (&self.fencer, &self.team) {
            (Some(fencer), _) => Whose::Fencer(fencer.clone()),
            (None, Some(team)) => Whose::Team(team.clone()),
            (None, None) if self.house => Whose::House,
            (None, None) => Whose::Unknown,
        }
    }
}

/// Scanning an item into the room.
#[derive(Debug, Args)]
#[command(after_help = "\
Examples:
  remise counter scan --tag 12340              it carries that tag already
  remise counter scan --job 17 --tag 12340     ties the tag to job 17")]
pub struct ScanArgs {
    /// The job, when its tag is only now tied to it
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u64).range(1..))]
    pub job: Option<u64>,
    /// The tag
    #[arg(long, value_name = "DIGITS", value_parser = tag, required_unless_present = "job")]
    pub tag: Option<Tag>,
}

impl ScanArgs {
    /// The command that is meant.
    pub fn command(&self) -> Result<Command, Failure> {
        match (self.job, self.tag) {
            (Some(job), tag) => Ok(Command::ScanIn { job: JobRef::Job(JobId(job)), tag }),
            (None, Some(tag)) => Ok(Command::ScanIn { job: JobRef::Tag(tag), tag: None }),
            (None, None) => Err(Failure::usage("nothing was scanned", "Give --tag DIGITS or --job NUMBER.")),
        }
    }
}
