//! Commands to requests: the right RPC with the right message for each.

mod bench;
mod head;
mod parts;
mod strip;

pub(crate) use parts::{job, spot};

use remise_core::armoury::Command;
use remise_proto::v1;
use tonic::{Response, Status};

use crate::connect::Link;
use crate::error::LinkError;
use crate::send::Sent;

/// Version of the wire, as requests carry it.
const WIRE: &str = "1";

macro_rules! requests {
    ($($desk:ident { $($name:ident($message:ident) = $rpc:ident),* $(,)? })*) => {
        /// A request for one RPC.
        #[derive(Clone, Debug, PartialEq)]
        pub enum Request {
            $($(#[doc = concat!("`", stringify!($rpc), "`")] $name(v1::$message),)*)*
        }

        impl Request {
            /// Names of all commands that can be sent, as in `do` of their JSON.
            pub const NAMES: &'static [&'static str] = &[$($(stringify!($rpc),)*)*];

            /// Name of the command, as in `do` of its JSON.
            pub fn name(&self) -> &'static str {
                match self { $($(Self::$name(_) => stringify!($rpc),)*)* }
            }

            /// Calls it once.
            pub(crate) async fn call(self, link: &Link) -> Result<Response<v1::Accepted>, Status> {
                match self {
                    $($(Self::$name(message) => link.$desk().$rpc(link.request(message)).await,)*)*
                }
            }
        }
    };
}

requests! {
    strip_desk {
        HandIn(HandInRequest) = hand_in,
        ScanIn(ScanInRequest) = scan_in,
        Claim(ClaimRequest) = claim,
        FencerOut(FencerRequest) = fencer_out,
        FencerIn(FencerRequest) = fencer_in,
        Lend(LoanRequest) = lend,
        LoanBack(LoanRequest) = loan_back,
        CallOut(CallOutRequest) = call_out,
        ConfirmNotice(ConfirmNoticeRequest) = confirm_notice,
        HandBack(HandBackRequest) = hand_back,
        BackTo(BackToRequest) = back_to,
        WantBy(WantByRequest) = want_by,
        SetNeed(SetNeedRequest) = set_need,
        CallOff(CallOffRequest) = call_off,
        Missing(MissingRequest) = missing,
        FoundAgain(FoundAgainRequest) = found_again,
        CollectedUnseen(CollectedUnseenRequest) = collected_unseen,
        Confiscate(ConfiscateRequest) = confiscate,
        Count(CountRequest) = count,
    }
    bench_desk {
        Take(TakeRequest) = take,
        PutBack(PutBackRequest) = put_back,
        PassOn(PassOnRequest) = pass_on,
        Interrupt(BenchRequest) = interrupt,
        Resume(BenchRequest) = resume,
        GoAway(GoAwayRequest) = go_away,
        ComeBack(BenchRequest) = come_back,
        ReachStrip(ReachStripRequest) = reach_strip,
        RunAgain(RunAgainRequest) = run_again,
        Find(FindRequest) = find,
        See(SeeRequest) = see,
        Repair(RepairRequest) = repair,
        Cure(CureRequest) = cure,
        DryNow(JobRequest) = dry_now,
        NoFaultFound(JobRequest) = no_fault_found,
        FaultElsewhere(FaultElsewhereRequest) = fault_elsewhere,
        Prove(ProveRequest) = prove,
        Ready(JobRequest) = ready,
        Withdraw(WithdrawRequest) = withdraw,
        Hold(HoldRequest) = hold,
        Release(JobRequest) = release,
        EndOwed(EndOwedRequest) = end_owed,
        Correct(CorrectRequest) = correct,
        ExchangeTags(ExchangeTagsRequest) = exchange_tags,
    }
    head_desk {
        TakeOver(TakeOverRequest) = take_over,
        ReadyAnyway(ReadyAnywayRequest) = ready_anyway,
        ReleaseConfiscated(ReleaseConfiscatedRequest) = release_confiscated,
        Pin(PinRequest) = pin,
        Redirect(RedirectRequest) = redirect,
        OpenBench(OpenBenchRequest) = open_bench,
        CloseBench(CloseBenchRequest) = close_bench,
        CloseBenchAt(CloseBenchAtRequest) = close_bench_at,
        CloseDay(CloseDayRequest) = close_day,
    }
}

/// What a group of commands made of one: a request, or nothing because it belongs to another group.
type Group = Option<Request>;

/// The request for a command.
pub(crate) fn request(sent: &Sent, epoch: u64) -> Result<Request, LinkError> {
    let meta = v1::Meta {
        request_id: sent.request_id.bytes().to_vec(),
        happened_at_us: sent.happened_at.map_or(0, |at| at.0),
        wire_version: WIRE.to_owned(),
        epoch,
    };
    of_command(&sent.command, Some(&meta))
}

fn of_command(command: &Command, meta: Option<&v1::Meta>) -> Result<Request, LinkError> {
    for group in [strip::request, bench::request, bench::findings, bench::course, bench::mends, head::request]
    {
        if let Some(request) = group(command, meta.cloned()) {
            return Ok(request);
        }
    }
    let command = match command {
        Command::SetVenue { .. } => "set_venue",
        Command::SayPromises { .. } => "say_promises",
        Command::Tick => "tick",
        _ => "unknown",
    };
    Err(LinkError::NotSendable { command, why: "the server does that by itself" })
}

/// A move that is only tried.
pub(crate) fn trial(command: &Command) -> Result<v1::TrialMove, LinkError> {
    use v1::trial_move::Is;
    let is = match of_command(command, None)? {
        Request::OpenBench(message) => Is::OpenBench(message),
        Request::CloseBench(message) => Is::CloseBench(message),
        Request::CloseBenchAt(message) => Is::CloseBenchAt(message),
        Request::Pin(message) => Is::Pin(message),
        Request::TakeOver(message) => Is::TakeOver(message),
        Request::Hold(message) => Is::Hold(message),
        Request::Release(message) => Is::Release(message),
        Request::WantBy(message) => Is::WantBy(message),
        Request::SetNeed(message) => Is::SetNeed(message),
        Request::CallOff(message) => Is::CallOff(message),
        Request::FencerOut(message) => Is::FencerOut(message),
        Request::FencerIn(message) => Is::FencerIn(message),
        other => {
            return Err(LinkError::NotSendable {
                command: other.name(),
                why: "it is not one of the moves that can be tried",
            });
        }
    };
    Ok(v1::TrialMove { is: Some(is) })
}

/// Name of a command, as in `do` of its JSON; `None` for those that no client sends.
pub fn command_name(command: &Command) -> Option<&'static str> {
    of_command(command, None).ok().map(|request| request.name())
}

#[cfg(test)]
mod tests;
