//! Carrying out what needs the server.

use std::io::Write;

use remise_core::armoury::Command;
use remise_link::{Clock as _, Link, Options, Sent, SystemClock, command_name, live_id};
use serde::Serialize;
use serde_json::{Value, json};

use super::setting::Setting;
use super::todo::Todo;
use super::{Shown, said, show, trial, why};
use crate::args::{Area, Cli, Common};
use crate::failure::Failure;
use crate::local::Sense;

/// Connects and does it.
pub(super) async fn run(cli: &Cli, out: &mut dyn Write) -> Result<Shown, Failure> {
    let link = Link::connect_with(cli.address()?, Options::default()).await.map_err(Failure::asking)?;
    cli.named().fits(&link.welcome()).map_err(Failure::asking)?;
    let mut setting = setting(cli, &link);
    if matches!(&cli.area, Area::Bench(area) if area.action.as_ref().is_some_and(super::BenchAction::needs_edition))
    {
        setting.edition = link.venue().await.map_err(Failure::asking)?.edition;
    }
    match todo(&cli.area, &setting)? {
        Todo::Send(command) => send(&link, &cli.common, &setting, *command).await,
        question if cli.common.happened_at.is_some() || cli.common.request_id.is_some() => {
            Err(Failure::usage(
                format!(
                    "--happened-at and --request-id belong to what changes something, not to a {}",
                    kind(&question)
                ),
                "Leave them out.",
            ))
        }
        Todo::WhatIf(moves) => trial::run(&link, &setting, &moves, cli.common.json, out).await,
        question => ask(&link, &setting, question).await,
    }
}

fn setting(cli: &Cli, link: &Link) -> Setting {
    let named = cli.named();
    Setting::new(
        &link.welcome(),
        named.strip.map(|id| id.0),
        named.bench.map(|id| id.0),
        matches!(cli.area, Area::Counter(_)),
    )
}

/// What a command line comes down to.
pub(super) fn todo(area: &Area, setting: &Setting) -> Result<Todo, Failure> {
    let none = || Failure::broken("no action was given");
    match area {
        Area::Strip(area) => area.action.as_ref().ok_or_else(none)?.todo(setting),
        Area::Counter(area) => area.action.as_ref().ok_or_else(none)?.todo(setting),
        Area::Bench(area) => area.action.as_ref().ok_or_else(none)?.todo(setting),
        Area::Head(area) => area.action.as_ref().ok_or_else(none)?.todo(setting),
        Area::Journal(area) => Ok(area.action.todo()),
        Area::Gear(_)
        | Area::Explain(_)
        | Area::Prove(_)
        | Area::Guide(_)
        | Area::Weigh(_)
        | Area::Rehearse { .. }
        | Area::Completions { .. } => Err(none()),
    }
}

fn kind(question: &Todo) -> &'static str {
    match question {
        Todo::Find { .. } => "search",
        Todo::WhatIf(_) => "trial",
        _ => "look at how things stand",
    }
}

async fn send(link: &Link, common: &Common, setting: &Setting, command: Command) -> Result<Shown, Failure> {
    let happened_at = common
        .happened_at
        .as_ref()
        .map(|typed| setting.time("--happened-at", typed, Sense::Behind))
        .transpose()?;
    let request_id = common.request_id.unwrap_or_else(|| live_id(SystemClock.now()));
    let sent = Sent { request_id, happened_at, command };
    let accepted = link.send(&sent).await.map_err(|error| Failure::from(error).sent_as(request_id))?;
    let cautions = said::cautions(&sent.command);
    let mut object = object("request_id", &request_id)?;
    for (name, value) in [
        ("command", json!(command_name(&sent.command))),
        ("accepted", json!(accepted)),
        ("cautions", json!(cautions)),
    ] {
        object[name] = value;
    }
    let mut lines = vec![said::sentence(&sent.command, &accepted, &setting.clock)];
    lines.extend(accepted.advice);
    lines.extend(cautions);
    Ok(Shown { text: lines.join("\n"), json: object })
}

async fn ask(link: &Link, setting: &Setting, question: Todo) -> Result<Shown, Failure> {
    let clock = &setting.clock;
    Ok(match question {
        Todo::StripBoard(spot) => {
            let board = link.strip_board(Some(spot)).await.map_err(Failure::asking)?;
            Shown { text: show::board(&board, clock), json: object("board", &board)? }
        }
        Todo::BenchBoard(bench) => {
            let board = link.bench_board(Some(bench)).await.map_err(Failure::asking)?;
            Shown { text: show::board(&board, clock), json: object("board", &board)? }
        }
        Todo::Room => {
            let board = link.room().await.map_err(Failure::asking)?;
            Shown { text: show::board(&board, clock), json: object("board", &board)? }
        }
        Todo::Why(job) => why::answer(&link.room().await.map_err(Failure::asking)?, job)?,
        Todo::Night => {
            let night = link.night_list().await.map_err(Failure::asking)?;
            Shown { text: show::night(&night, clock), json: object("night", &night)? }
        }
        Todo::Promises => {
            let kept = link.room().await.map_err(Failure::asking)?.promises();
            Shown { text: show::promises(&kept), json: object("promises", &kept)? }
        }
        Todo::Venue => {
            let venue = link.venue().await.map_err(Failure::asking)?;
            Shown { text: show::venue(&venue, clock), json: object("venue", &venue)? }
        }
        Todo::Find { text, limit } => {
            let found = link.find_jobs(&text, limit).await.map_err(Failure::asking)?;
            Shown { text: show::found(&found, clock), json: object("found", &found)? }
        }
        Todo::Course(job) => {
            let course = link.course(job).await.map_err(Failure::asking)?;
            Shown { text: show::course(&course, clock), json: object("course", &course)? }
        }
        other => journal(link, setting, other).await?,
    })
}

async fn journal(link: &Link, setting: &Setting, question: Todo) -> Result<Shown, Failure> {
    let clock = &setting.clock;
    match question {
        Todo::Events { from, limit } => {
            let batch = link.events(from, limit).await.map_err(Failure::asking)?;
            Ok(Shown { text: show::events(&batch, clock), json: object("events", &batch)? })
        }
        Todo::JournalHead => {
            let head = link.journal_head().await.map_err(Failure::asking)?;
            let text = format!("The journal stands at {}, epoch {}.", head.head, head.epoch);
            Ok(Shown { text, json: object("journal", &head)? })
        }
        Todo::Verify => {
            let verified = link.verify().await.map_err(Failure::asking)?;
            if !verified.sound {
                let message = format!("the journal's chain does not hold: {}", verified.message);
                return Err(Failure::broken(message));
            }
            Ok(Shown { text: verified.message.clone(), json: object("verified", &verified)? })
        }
        _ => Err(Failure::broken("this question has no answer")),
    }
}

/// `{"ok":true,"NAME":…}`.
pub(super) fn object(name: &str, body: &impl Serialize) -> Result<Value, Failure> {
    let body = serde_json::to_value(body)
        .map_err(|error| Failure::broken(format!("the answer cannot be written as JSON: {error}")))?;
    let mut object = json!({ "ok": true });
    object[name] = body;
    Ok(object)
}
