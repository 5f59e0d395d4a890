//! The day as it runs, on a terminal: the clock, the benches with what they have in hand, what will be late.

use std::io;
use std::time::Duration;

use crossterm::event::{self, Event, KeyCode, KeyEvent, KeyEventKind, KeyModifiers};
use ratatui::Frame;
use ratatui::layout::{Constraint, Layout};
use ratatui::style::{Modifier, Style};
use ratatui::text::{Line, Span};
use ratatui::widgets::{Cell, Paragraph, Row, Table};
use remise_rehearsal::play::Scene;
use remise_rehearsal::tournament::local;
use tokio::sync::watch;

use crate::screens::terminal::Terminal;

/// Pictures follow each other no faster than this; a day is over in seconds.
const PAUSE: Duration = Duration::from_millis(40);

/// How the showing ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Shown {
    /// There are no more scenes, or there is no terminal to draw on.
    All,
    /// Somebody at the terminal has seen enough.
    Enough,
}

/// Shows scenes until there are no more or somebody presses a key that ends it.
pub(super) fn show(scenes: &watch::Receiver<Scene>) -> Shown {
    let shown = Terminal::open().and_then(|mut terminal| play(&mut terminal, scenes));
    shown.unwrap_or_else(|error| {
        tracing::warn!(%error, "the day could not be shown; it is played all the same");
        Shown::All
    })
}

fn play(terminal: &mut Terminal, scenes: &watch::Receiver<Scene>) -> io::Result<Shown> {
    while scenes.has_changed().is_ok() {
        let scene = scenes.borrow().clone();
        terminal.draw(|frame| view(&scene, frame))?;
        if event::poll(PAUSE)? && ends(&event::read()?) {
            return Ok(Shown::Enough);
        }
    }
    Ok(Shown::All)
}

/// Keys come unseen and one by one while the day is shown, Ctrl-C among them: it must end the day as it ends anything.
fn ends(event: &Event) -> bool {
    let Event::Key(KeyEvent { code, modifiers, kind: KeyEventKind::Press, .. }) = event else { return false };
    match code {
        KeyCode::Char('c') => modifiers.contains(KeyModifiers::CONTROL),
        KeyCode::Char('q') | KeyCode::Esc => true,
        _ => false,
    }
}

/// Draws one scene.
fn view(scene: &Scene, frame: &mut Frame<'_>) {
    let benches = u16::try_from(scene.benches.len()).unwrap_or(u16::MAX).saturating_add(2);
    let rows =
        [Constraint::Length(3), Constraint::Length(benches), Constraint::Min(3), Constraint::Length(1)];
    let [head, table, late, foot] = Layout::vertical(rows).areas(frame.area());
    frame.render_widget(Paragraph::new(heading(scene)), head);
    frame.render_widget(lanes(scene), table);
    frame.render_widget(Paragraph::new(lateness(scene)), late);
    frame.render_widget(Paragraph::new(" q or Ctrl-C ends it"), foot);
}

fn heading(scene: &Scene) -> Vec<Line<'static>> {
    let clock = clock(scene);
    vec![
        Line::from(vec![
            Span::styled(
                format!(" {clock} "),
                Style::new().add_modifier(Modifier::REVERSED | Modifier::BOLD),
            ),
            Span::raw("  an invented day, played through a real server"),
        ]),
        Line::from(format!(
            " on the way {}   waiting {}   curing {}   ready {}   over {}",
            scene.on_its_way, scene.waiting, scene.curing, scene.ready, scene.closed
        )),
    ]
}

fn clock(scene: &Scene) -> String {
    match local::zone(&scene.zone) {
        Some(zone) => local::clock_text(scene.at, &zone),
        None => "--:--".to_owned(),
    }
}

fn lanes(scene: &Scene) -> Table<'static> {
    let rows = scene.benches.iter().map(|bench| {
        Row::new([
            Cell::from(bench.name.clone()),
            Cell::from(bench.now.clone()),
            Cell::from(bench.next.join(" · ")),
        ])
    });
    let widths = [Constraint::Length(14), Constraint::Length(26), Constraint::Fill(1)];
    let header =
        Row::new(["bench", "in hand", "next"]).style(Style::new().add_modifier(Modifier::UNDERLINED));
    Table::new(rows, widths).header(header)
}

fn lateness(scene: &Scene) -> Vec<Line<'static>> {
    if scene.late.is_empty() {
        return vec![Line::from(" nothing will be late")];
    }
    let title = Line::styled(" will be late", Style::new().add_modifier(Modifier::BOLD));
    let rows = scene
        .late
        .iter()
        .map(|late| Line::from(format!("   {:<26} {:>3} min", late.what, late.by.ceil_min())));
    std::iter::once(title).chain(rows).collect()
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used)]
    use ratatui::Terminal;
    use ratatui::backend::TestBackend;
    use remise_core::time::{Span, Stamp};
    use remise_rehearsal::play::{BenchScene, LateScene};

    use super::*;

    #[test]
    fn clock_lanes_and_lateness_are_on_the_screen() {
        let scene = Scene {
            at: Stamp(1_777_711_200_000_000),
            zone: "Europe/Vienna".to_owned(),
            benches: vec![BenchScene {
                name: "Bench 1".to_owned(),
                now: "00012 foil".to_owned(),
                next: vec!["00029 épée".to_owned()],
            }],
            late: vec![LateScene { what: "00029 épée".to_owned(), by: Span::minutes(7) }],
            ..Scene::default()
        };
        let mut terminal = Terminal::new(TestBackend::new(80, 24)).unwrap();
        terminal.draw(|frame| view(&scene, frame)).unwrap();
        let text = terminal.backend().to_string();
        for expected in ["10:40", "Bench 1", "00012 foil", "00029 épée", "7 min", "Ctrl-C"] {
            assert!(text.contains(expected), "{expected} is missing in\n{text}");
        }
    }
    #[test]
    fn the_keys_that_end_a_program_end_the_day() {
        let key = |code, modifiers| Event::Key(KeyEvent::new(code, modifiers));
        for (event, expected) in [
            (key(KeyCode::Char('c'), KeyModifiers::CONTROL), true),
            (key(KeyCode::Char('q'), KeyModifiers::NONE), true),
            (key(KeyCode::Esc, KeyModifiers::NONE), true),
            (key(KeyCode::Char('c'), KeyModifiers::NONE), false),
            (key(KeyCode::Enter, KeyModifiers::NONE), false),
            (Event::Resize(80, 24), false),
        ] {
            assert_eq!(ends(&event), expected, "{event:?}");
        }
    }
}
