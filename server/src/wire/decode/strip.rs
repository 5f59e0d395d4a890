//! `StripDesk`: requests to commands.

#![expect(
    clippy::needless_pass_by_value,
    reason = "every decoder takes its message whole, so that one macro serves them all"
)]

use remise_core::armoury::{Command, HandIn, HandInItem, Spot, Whose};
use remise_core::ids::{ItemId, NoticeId};
use remise_proto::v1;

use super::WireProblem;
use super::parts::{
    at_most, complaint, item_kind, job_ref, name, need, note, opt_name, opt_note, opt_seq, opt_tag, place,
    seq, spot, strip, tag, wanted,
};
use crate::stations::Station;

/// Most items in one hand-in. The rules may take fewer.
pub const ITEMS_MAX: usize = 64;
/// Most tags in one count.
pub const TAGS_MAX: usize = 2000;

type Read = Result<Command, WireProblem>;

/// Hand-in.
pub fn hand_in(request: v1::HandInRequest, who: &Station) -> Read {
    let came_from = match (request.came_from, who.strip) {
        (None, Some(own)) => Spot::Strip(own),
        (given, _) => spot("came_from", given)?,
    };
    let back_to = match request.back_to {
        None => came_from,
        given => spot("back_to", given)?,
    };
    at_most("items", &request.items, ITEMS_MAX)?;
    let items =
        request.items.iter().enumerate().map(|(index, raw)| item(index, raw)).collect::<Result<_, _>>()?;
    Ok(Command::HandIn(HandIn {
        whose: whose(request.whose)?,
        owner: opt_name("owner", &request.owner)?,
        bringer: opt_name("bringer", &request.bringer)?,
        official: opt_name("official", &request.official)?,
        came_from,
        back_to,
        wanted: wanted("wanted", request.wanted)?,
        in_room: request.in_room,
        items,
    }))
}

fn whose(raw: Option<v1::hand_in_request::Whose>) -> Result<Whose, WireProblem> {
    use v1::hand_in_request::Whose as Wire;
    Ok(match raw {
        None => return Err(WireProblem::new("whose", "it is missing: fencer, team, unknown or house")),
        Some(Wire::Fencer(raw)) => Whose::Fencer(name("fencer", &raw)?),
        Some(Wire::Team(raw)) => Whose::Team(name("team", &raw)?),
        Some(Wire::Unknown(_)) => Whose::Unknown,
        Some(Wire::House(_)) => Whose::House,
    })
}

fn item(index: usize, raw: &v1::HandInItem) -> Result<HandInItem, WireProblem> {
    let read = || {
        Ok(HandInItem {
            kind: item_kind("item_kind", &raw.item_kind)?,
            item: opt_seq("item", raw.item)?.map(ItemId),
            complaint: complaint("complaint", &raw.complaint)?,
            note: opt_note("note", &raw.note)?,
            tag: opt_tag("tag", &raw.tag)?,
            need: need("need", raw.need)?,
        })
    };
    read().map_err(|why: WireProblem| why.within(&format!("items[{index}]")))
}

/// Scan-in.
pub fn scan_in(request: v1::ScanInRequest, _: &Station) -> Read {
    Ok(Command::ScanIn { job: job_ref("job", request.job)?, tag: opt_tag("tag", &request.tag)? })
}

/// Claim.
pub fn claim(request: v1::ClaimRequest, _: &Station) -> Read {
    Ok(Command::Claim { job: job_ref("job", request.job)?, fencer: name("fencer", &request.fencer)? })
}

/// The fencer is out.
pub fn fencer_out(request: v1::FencerRequest, _: &Station) -> Read {
    Ok(Command::FencerOut { fencer: name("fencer", &request.fencer)? })
}

/// The fencer is in after all.
pub fn fencer_in(request: v1::FencerRequest, _: &Station) -> Read {
    Ok(Command::FencerIn { fencer: name("fencer", &request.fencer)? })
}

/// A loan.
pub fn lend(request: v1::LoanRequest, _: &Station) -> Read {
    Ok(Command::Lend {
        fencer: name("fencer", &request.fencer)?,
        kind: item_kind("item_kind", &request.item_kind)?,
    })
}

/// The loan came back.
pub fn loan_back(request: v1::LoanRequest, _: &Station) -> Read {
    Ok(Command::LoanBack {
        fencer: name("fencer", &request.fencer)?,
        kind: item_kind("item_kind", &request.item_kind)?,
    })
}

/// A strip stands still.
pub fn call_out(request: v1::CallOutRequest, who: &Station) -> Read {
    let strip = match who.strip {
        Some(own) if request.strip == 0 => own,
        _ => strip("strip", request.strip)?,
    };
    Ok(Command::CallOut { strip, note: opt_note("note", &request.note)? })
}

/// The strip has read a notice.
pub fn confirm_notice(request: v1::ConfirmNoticeRequest, _: &Station) -> Read {
    Ok(Command::ConfirmNotice { notice: NoticeId(seq("notice", request.notice)?) })
}

/// Handed back.
pub fn hand_back(request: v1::HandBackRequest, _: &Station) -> Read {
    Ok(Command::HandBack { job: job_ref("job", request.job)?, to: name("to", &request.to)? })
}

/// It goes back to somewhere else.
pub fn back_to(request: v1::BackToRequest, _: &Station) -> Read {
    Ok(Command::BackTo { job: job_ref("job", request.job)?, to: spot("to", request.to)? })
}

/// It is wanted at another time.
pub fn want_by(request: v1::WantByRequest, _: &Station) -> Read {
    Ok(Command::WantBy { job: job_ref("job", request.job)?, wanted: wanted("wanted", request.wanted)? })
}

/// What still works is something else.
pub fn set_need(request: v1::SetNeedRequest, _: &Station) -> Read {
    Ok(Command::SetNeed { job: job_ref("job", request.job)?, need: need("need", request.need)? })
}

/// Nobody wants it mended any more.
pub fn call_off(request: v1::CallOffRequest, _: &Station) -> Read {
    Ok(Command::CallOff { job: job_ref("job", request.job)?, reason: note("reason", &request.reason)? })
}

/// It cannot be found.
pub fn missing(request: v1::MissingRequest, _: &Station) -> Read {
    Ok(Command::Missing { job: job_ref("job", request.job)?, note: opt_note("note", &request.note)? })
}

/// It was found.
pub fn found_again(request: v1::FoundAgainRequest, _: &Station) -> Read {
    Ok(Command::FoundAgain { job: job_ref("job", request.job)?, place: place("place", request.place)? })
}

/// It was collected unseen.
pub fn collected_unseen(request: v1::CollectedUnseenRequest, _: &Station) -> Read {
    Ok(Command::CollectedUnseen { job: job_ref("job", request.job)?, note: opt_note("note", &request.note)? })
}

/// It is confiscated.
pub fn confiscate(request: v1::ConfiscateRequest, _: &Station) -> Read {
    Ok(Command::Confiscate { job: job_ref("job", request.job)?, note: note("note", &request.note)? })
}

/// A count.
pub fn count(request: v1::CountRequest, _: &Station) -> Read {
    at_most("tags", &request.tags, TAGS_MAX)?;
    let tags = request
        .tags
        .iter()
        .enumerate()
        .map(|(index, raw)| tag(&format!("tags[{index}]"), raw))
        .collect::<Result<_, _>>()?;
    Ok(Command::Count { place: place("place", request.place)?, tags })
}
