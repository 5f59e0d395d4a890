//! Requests of `StripDesk`.

use remise_core::armoury::{Command, HandIn, HandInItem, Whose};
use remise_core::tag::Tag;
use remise_proto::v1;

use super::parts::{job, need, opt, place, spot, wanted};
use super::{Group, Request};

type Meta = Option<v1::Meta>;

/// Hand-ins, fencers, handing back.
pub(super) fn request(command: &Command, meta: Meta) -> Group {
    let fencer = |fencer: &String, meta| v1::FencerRequest { meta, fencer: fencer.clone() };
    let request = match command {
        Command::HandIn(given) => Request::HandIn(hand_in(given, meta)),
        Command::ScanIn { job: j, tag } => {
            let tag = tag.map(Tag::digits).unwrap_or_default();
            Request::ScanIn(v1::ScanInRequest { meta, job: Some(job(*j)), tag })
        }
        Command::Claim { job: j, fencer } => {
            Request::Claim(v1::ClaimRequest { meta, job: Some(job(*j)), fencer: fencer.clone() })
        }
        Command::FencerOut { fencer: name } => Request::FencerOut(fencer(name, meta)),
        Command::FencerIn { fencer: name } => Request::FencerIn(fencer(name, meta)),
        Command::CallOut { strip, note } => {
            Request::CallOut(v1::CallOutRequest { meta, strip: strip.0.into(), note: opt(note.as_ref()) })
        }
        Command::ConfirmNotice { notice } => {
            Request::ConfirmNotice(v1::ConfirmNoticeRequest { meta, notice: notice.0 })
        }
        Command::HandBack { job: j, to } => {
            Request::HandBack(v1::HandBackRequest { meta, job: Some(job(*j)), to: to.clone() })
        }
        Command::BackTo { job: j, to } => {
            Request::BackTo(v1::BackToRequest { meta, job: Some(job(*j)), to: Some(spot(*to)) })
        }
        other => return changes(other, meta),
    };
    Some(request)
}

/// Loans, changes of what was said, and items that are lost, counted or locked away.
fn changes(command: &Command, meta: Meta) -> Group {
    let request = match command {
        Command::Lend { fencer, kind } => Request::Lend(loan(fencer, kind.code(), meta)),
        Command::LoanBack { fencer, kind } => Request::LoanBack(loan(fencer, kind.code(), meta)),
        Command::WantBy { job: j, wanted: by } => {
            Request::WantBy(v1::WantByRequest { meta, job: Some(job(*j)), wanted: wanted(by) })
        }
        Command::SetNeed { job: j, need: word } => {
            Request::SetNeed(v1::SetNeedRequest { meta, job: Some(job(*j)), need: need(*word) })
        }
        Command::CallOff { job: j, reason } => {
            Request::CallOff(v1::CallOffRequest { meta, job: Some(job(*j)), reason: reason.clone() })
        }
        Command::Missing { job: j, note } => {
            Request::Missing(v1::MissingRequest { meta, job: Some(job(*j)), note: opt(note.as_ref()) })
        }
        Command::FoundAgain { job: j, place: at } => {
            Request::FoundAgain(v1::FoundAgainRequest { meta, job: Some(job(*j)), place: Some(place(*at)) })
        }
        Command::CollectedUnseen { job: j, note } => Request::CollectedUnseen(v1::CollectedUnseenRequest {
            meta,
            job: Some(job(*j)),
            note: opt(note.as_ref()),
        }),
        Command::Confiscate { job: j, note } => {
            Request::Confiscate(v1::ConfiscateRequest { meta, job: Some(job(*j)), note: note.clone() })
        }
        Command::Count { place: at, tags } => {
            let tags = tags.iter().map(|tag| tag.digits()).collect();
            Request::Count(v1::CountRequest { meta, place: Some(place(*at)), tags })
        }
        _ => return None,
    };
    Some(request)
}

fn loan(fencer: &str, kind: &str, meta: Meta) -> v1::LoanRequest {
    v1::LoanRequest { meta, fencer: fencer.to_owned(), item_kind: kind.to_owned() }
}

fn hand_in(given: &HandIn, meta: Meta) -> v1::HandInRequest {
    use v1::hand_in_request as wire;
    let whose = match &given.whose {
        Whose::Fencer(name) => wire::Whose::Fencer(name.clone()),
        Whose::Team(name) => wire::Whose::Team(name.clone()),
        Whose::Unknown => wire::Whose::Unknown(wire::Unknown {}),
        Whose::House => wire::Whose::House(wire::House {}),
    };
    v1::HandInRequest {
        meta,
        whose: Some(whose),
        owner: opt(given.owner.as_ref()),
        bringer: opt(given.bringer.as_ref()),
        official: opt(given.official.as_ref()),
        came_from: Some(spot(given.came_from)),
        back_to: Some(spot(given.back_to)),
        wanted: wanted(&given.wanted),
        in_room: given.in_room,
        items: given.items.iter().map(item).collect(),
    }
}

fn item(given: &HandInItem) -> v1::HandInItem {
    v1::HandInItem {
        item_kind: given.kind.code().to_owned(),
        item: given.item.map_or(0, |item| item.0),
        complaint: given.complaint.code().to_owned(),
        note: opt(given.note.as_ref()),
        tag: given.tag.map(Tag::digits).unwrap_or_default(),
        need: need(given.need),
    }
}
