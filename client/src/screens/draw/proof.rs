//! How a proof looks: every check with its limit, rule, edition and status, and what the typed reading means.

use ratatui::text::Line;
use remise_core::rules::CLOSING;

use crate::screens::paint::{Pane, first_shown, line, over, plain, window};
use crate::screens::proof::{Proof, Reads, Row};
use crate::screens::state::State;
use crate::screens::text::{cut, pad};
use crate::screens::verb::Verb;

/// Columns of what was recorded.
const RECORDED: usize = 12;

/// The proof's lines.
pub fn lines(state: &State, proof: &Proof, pane: Pane) -> Vec<Line<'static>> {
    let passed = proof.rows.iter().filter(|row| row.check.pass).count();
    let all = proof.rows.len();
    let title = if passed == all && all > 0 {
        let key = Verb::Ready.key();
        format!("Proof: all {all} checks passed. Esc, then {key} says that it is ready")
    } else {
        format!("Proof: {passed} of {all} checks passed")
    };
    let mut lines = vec![super::title(&title, pane)];
    let edition = state.venue.as_ref().map(|venue| venue.edition.as_str()).unwrap_or_default();
    let mut body = Vec::new();
    let mut chosen = (0, 0);
    for (at, row) in proof.rows.iter().enumerate() {
        let from = body.len();
        body.extend(check_lines(row, at == proof.row, edition, pane));
        if at == proof.row {
            if let Some(problem) = &proof.problem {
                let text = crate::screens::send::sentence(problem);
                body.extend(super::indented(&format!("     ! {text}"), pane, pane.theme.alarm()));
            }
            chosen = (from, body.len() - 1);
        }
    }
    let room = pane.lines.saturating_sub(4);
    let from = first_shown(chosen, body.len(), room);
    lines.extend(window(body, from, room, pane.theme.quiet()));
    lines.push(plain(""));
    lines.extend(super::indented(CLOSING, pane, pane.theme.quiet()));
    lines
}

fn check_lines(row: &Row, chosen: bool, edition: &str, pane: Pane) -> Vec<Line<'static>> {
    let theme = pane.theme;
    let check = &row.check;
    let recorded = match (check.answer.is_some(), check.pass) {
        _ if row.sending.is_some() => "sending …",
        (false, _) => "not made yet",
        (true, true) => "PASS",
        (true, false) => "FAIL",
    };
    let mark = if chosen { "▸" } else { " " };
    let room = pane.columns.saturating_sub(RECORDED + 5);
    let head = format!(" {mark} {} {}", pad(&check.title, room), pad(recorded, RECORDED));
    let head =
        line(cut(&head, pane.columns), if recorded == "FAIL" { theme.alarm() } else { theme.strong() });
    let mut lines = vec![if chosen { over(head, theme.chosen()) } else { head }];
    if !chosen {
        return lines;
    }
    let rule = check.rule.as_deref().unwrap_or("no rule number");
    let grounds = format!("    {} · {rule} · {} · {}", check.limit, check.edition, check.status);
    lines.extend(
        super::indented(grounds.trim_start(), pane.sized(pane.columns.saturating_sub(4), 0), theme.quiet())
            .into_iter()
            .map(shift),
    );
    if let Some(caution) = &check.caution {
        lines.extend(
            super::indented(
                &format!("! {caution}"),
                pane.sized(pane.columns.saturating_sub(4), 0),
                theme.heed(),
            )
            .into_iter()
            .map(shift),
        );
    }
    lines.push(line(format!("     {}: {}▏", asks(row), row.input.value()), theme.strong()));
    lines.extend(verdict(row, edition, pane).into_iter().map(shift));
    lines
}

fn shift(mut line: Line<'static>) -> Line<'static> {
    line.spans.insert(0, ratatui::text::Span::raw("    "));
    line
}

fn asks(row: &Row) -> String {
    match &row.check.unit {
        Some(unit) => format!("reading in {unit}, or p pass, f fail"),
        None => "p pass, f fail".to_owned(),
    }
}

/// What the typed reading means; it counts only once it is recorded.
fn verdict(row: &Row, edition: &str, pane: Pane) -> Vec<Line<'static>> {
    let narrow = pane.sized(pane.columns.saturating_sub(4), 0);
    match row.reads(edition) {
        Reads::Nothing => Vec::new(),
        Reads::Bad(why) => super::indented(&crate::screens::send::sentence(&why), narrow, pane.theme.alarm()),
        Reads::Good(_, None) => {
            super::indented("The server judges it. Enter records it.", narrow, pane.theme.strong())
        }
        Reads::Good(_, Some(verdict)) => {
            let style = if verdict.refuses() { pane.theme.alarm() } else { pane.theme.good() };
            super::indented(&format!("{}. Enter records it.", verdict.sentence()), narrow, style)
        }
    }
}
