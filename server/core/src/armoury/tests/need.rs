//! What the fencer still has working: it belongs to fencer and kind, and everything that changes it changes it for all
//! of that fencer's jobs.
#![allow(clippy::unwrap_used)]

use super::World;
use super::world::*;
use crate::armoury::*;
use crate::gear::ItemKind;
use crate::ids::JobId;

const FOIL: ItemKind = ItemKind::Foil;

fn need(world: &World, job: JobId) -> Need {
    world.room.need(world.job(job))
}

fn sent_with(world: &mut World, kind: ItemKind, need: Need) -> JobId {
    world.ok(Command::HandIn(lot(vec![HandInItem { need, ..item(kind) }])));
    JobId(world.head())
}

#[test]
fn each_hand_in_changes_it_for_all_jobs_of_that_kind() {
    let mut world = World::new();
    let first = sent_with(&mut world, FOIL, Need::OneLeft);
    let mask = sent_with(&mut world, ItemKind::MaskCord, Need::TwoOrMore);
    assert_eq!(need(&world, first), Need::OneLeft);
    let second = sent_with(&mut world, FOIL, Need::NoneLeft);
    assert_eq!((need(&world, first), need(&world, second)), (Need::NoneLeft, Need::NoneLeft));
    assert_eq!(need(&world, mask), Need::TwoOrMore);
}

#[test]
fn loans_and_hand_backs_change_it() {
    let mut world = World::new();
    let other = sent_with(&mut world, FOIL, Need::NoneLeft);
    assert_eq!(world.no(loan_back(FOIL)), "NOT_LENT");
    assert_eq!(world.ok(lend(FOIL)), ["lent"]);
    assert_eq!(need(&world, other), Need::OneLeft);
    assert_eq!(world.no(loan_back(ItemKind::Epee)), "NOT_LENT");
    assert_eq!(world.ok(loan_back(FOIL)), ["loan_came_back"]);
    assert_eq!(need(&world, other), Need::NoneLeft);
    assert_eq!(world.no(loan_back(FOIL)), "NOT_LENT");
    // Handed in with "one left", and handed back mended: two.
    let ready = world.ready();
    world.ok(hand_back(ready));
    assert_eq!(need(&world, other), Need::TwoOrMore);
    // A third does not make three.
    world.ok(lend(FOIL));
    world.ok(lend(FOIL));
    world.ok(loan_back(FOIL));
    assert_eq!(need(&world, other), Need::OneLeft);
}

#[test]
fn what_comes_back_unmended_works_no_better() {
    for state in [State::Withdrawn, State::CalledOff] {
        let mut world = World::new();
        let job = world.in_state(state);
        let other = sent_with(&mut world, FOIL, Need::NoneLeft);
        world.ok(hand_back(job));
        assert_eq!(need(&world, other), Need::NoneLeft);
    }
}

/// The fencer has it, though nobody saw it go.
#[test]
fn a_mended_item_that_was_collected_unseen_works() {
    let mut world = World::new();
    let job = world.ready();
    let other = sent_with(&mut world, FOIL, Need::NoneLeft);
    world.ok(missing(job));
    world.ok(collected_unseen(job));
    assert_eq!(need(&world, other), Need::OneLeft);
}

#[test]
fn out_of_the_competition_and_in_again() {
    let mut world = World::new();
    let foil = sent_with(&mut world, FOIL, Need::NoneLeft);
    let mask = sent_with(&mut world, ItemKind::MaskCord, Need::OneLeft);
    assert_eq!(world.ok(fencer_out()), ["fencer_went_out"]);
    assert!(world.advice.iter().any(|line| line.contains("here already")), "{:?}", world.advice);
    assert_eq!((need(&world, foil), need(&world, mask)), (Need::Out, Need::Out));
    assert_eq!(world.no(fencer_out()), "NOTHING_CHANGES");
    // What comes in from an evening's bag does not put the fencer in again.
    sent_with(&mut world, FOIL, Need::OneLeft);
    assert!(world.advice.iter().any(|line| line.contains("out of the competition")), "{:?}", world.advice);
    assert_eq!(need(&world, foil), Need::Out);
    assert_eq!(world.ok(fencer_in()), ["fencer_came_in"]);
    assert_eq!((need(&world, foil), need(&world, mask)), (Need::OneLeft, Need::OneLeft));
    assert_eq!(world.no(fencer_in()), "NOTHING_CHANGES");
    let nobody = Command::FencerOut { fencer: "Fencer Nowhere".to_owned() };
    assert_eq!(world.no(nobody), "UNKNOWN_FENCER");
}

#[test]
fn ready_items_of_a_fencer_who_goes_out_are_named() {
    let mut world = World::new();
    world.ready();
    world.ok(fencer_out());
    assert!(world.advice.iter().any(|line| line.contains("ready to collect")), "{:?}", world.advice);
}

#[test]
fn the_need_of_one_job_is_said_anew() {
    let mut world = World::new();
    let foil = sent_with(&mut world, FOIL, Need::OneLeft);
    let other = sent_with(&mut world, FOIL, Need::OneLeft);
    assert_eq!(world.no(set_need(foil, Need::OneLeft)), "NOTHING_CHANGES");
    assert_eq!(world.no(set_need(foil, Need::StripStopped)), "NEED_DOES_NOT_FIT");
    assert_eq!(world.ok(set_need(foil, Need::NoneLeft)), ["need_set"]);
    assert_eq!(need(&world, other), Need::NoneLeft);
    assert_eq!(world.ok(set_need(foil, Need::Out)), ["need_set"]);
    assert_eq!(need(&world, other), Need::Out);
    assert_eq!(world.ok(set_need(foil, Need::TwoOrMore)), ["fencer_came_in", "need_set"]);
    assert_eq!(need(&world, other), Need::TwoOrMore);
}

/// Nobody has said what works since: better too early than too late.
#[test]
fn who_was_handed_in_as_out_and_comes_in_again_has_none_left() {
    let mut world = World::new();
    let foil = sent_with(&mut world, FOIL, Need::Out);
    assert_eq!(need(&world, foil), Need::Out);
    world.ok(fencer_in());
    assert_eq!(need(&world, foil), Need::NoneLeft);
}

#[test]
fn apparatus_belongs_to_its_strip() {
    let mut world = World::new();
    let house =
        |need| HandIn { whose: Whose::House, ..lot(vec![HandInItem { need, ..item(ItemKind::Box) }]) };
    world.ok(Command::HandIn(house(Need::StripStopped)));
    let first = JobId(world.head());
    world.ok(Command::HandIn(house(Need::TwoOrMore)));
    assert_eq!(need(&world, first), Need::StripStopped);
    world.ok(set_need(first, Need::TwoOrMore));
    assert_eq!(need(&world, first), Need::TwoOrMore);
}

#[test]
fn a_team_has_needs_like_a_fencer() {
    let mut world = World::new();
    let team = |need| HandIn {
        whose: Whose::Team("Team Slate".to_owned()),
        ..lot(vec![HandInItem { need, ..item(FOIL) }])
    };
    world.ok(Command::HandIn(team(Need::OneLeft)));
    let first = JobId(world.head());
    world.ok(Command::HandIn(team(Need::NoneLeft)));
    assert_eq!(need(&world, first), Need::NoneLeft);
    world.ok(Command::FencerOut { fencer: "team slate".to_owned() });
    assert_eq!(need(&world, first), Need::Out);
}

#[test]
fn a_claim_counts_only_where_nothing_is_known() {
    let mut world = World::new();
    let mine = sent_with(&mut world, FOIL, Need::NoneLeft);
    let unknown = HandIn {
        whose: Whose::Unknown,
        ..lot(vec![
            HandInItem { need: Need::TwoOrMore, ..item(FOIL) },
            HandInItem { need: Need::OneLeft, ..item(ItemKind::Mask) },
        ])
    };
    world.ok(Command::HandIn(unknown));
    let (mask, foil) = (JobId(world.head()), JobId(world.head() - 1));
    assert_eq!(need(&world, foil), Need::TwoOrMore);
    for job in [mask, foil] {
        world.ok(Command::Claim { job: on(job), fencer: FENCER.to_owned() });
    }
    assert_eq!((need(&world, mine), need(&world, foil)), (Need::NoneLeft, Need::NoneLeft));
    assert_eq!(need(&world, mask), Need::OneLeft);
}

/// Nobody knows whose it is: what was said at the strip is all there is.
#[test]
fn the_need_of_an_unknown_fencer_is_what_was_said() {
    let mut world = World::new();
    world.ok(Command::HandIn(HandIn { whose: Whose::Unknown, ..lot(vec![item(FOIL)]) }));
    let job = JobId(world.head());
    world.ok(set_need(job, Need::Out));
    assert_eq!(need(&world, job), Need::Out);
}
