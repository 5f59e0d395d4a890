//! A diagnosis by questions: plain lines, number keys, `u` for unsure, `b` for back.

use std::io::{self, BufRead, Write};

use remise_core::gear::Complaint;
use remise_core::guide::{Finding, Found, Looked, Next, Ranked};

use super::{Asked, say};

/// Longest line that is read, in bytes.
const LONGEST: u64 = 4096;

/// What somebody answered.
#[derive(Debug, PartialEq, Eq)]
enum Answer {
    /// One of those offered, from 0; and whether it is sure.
    One(usize, bool),
    Unsure,
    Back,
    List,
    /// A finding in its own words.
    Own(String),
    /// No more is said.
    End,
}

/// Asks until the cause is found, or until nobody answers any more.
pub(super) fn ask(
    asked: &mut Asked,
    needs_complaint: bool,
    input: &mut dyn BufRead,
    out: &mut dyn Write,
) -> io::Result<()> {
    writeln!(out, "{}: the guide. Nothing is recorded.\n{}", asked.guide.kind.title(), say::ESTIMATES)?;
    if needs_complaint && !ask_complaint(asked, input, out)? {
        return Ok(());
    }
    while let Some(next) = asked.guide.next(&asked.case, asked.manner) {
        let ranked = asked.guide.ranked(&asked.case);
        write!(out, "{}", short(&ranked))?;
        write!(out, "{}", say::next_text(&next))?;
        let words = next.check.results();
        for (number, word) in words.iter().enumerate() {
            write!(out, "  {} {word}", number + 1)?;
        }
        writeln!(out, "  (1? when not quite sure)  u unsure  b back  l list  q end")?;
        if !answer(asked, &next, words, input, out)? {
            return Ok(());
        }
        if let Some(found) = found(asked) {
            writeln!(out, "\nFound.")?;
            return write!(out, "{}", say::causes(&[found], true));
        }
    }
    Ok(())
}

/// Acts on the next answer; false at the end.
fn answer(
    asked: &mut Asked,
    next: &Next,
    words: &[&str],
    input: &mut dyn BufRead,
    out: &mut dyn Write,
) -> io::Result<bool> {
    loop {
        match read(input, out, words.len())? {
            Answer::End => return Ok(false),
            Answer::Back => {
                let taken = asked.case.findings.pop();
                let said = taken.map_or_else(
                    || "Nothing to take back.".to_owned(),
                    |it| format!("Taken back: {}", it.said()),
                );
                writeln!(out, "{said}")?;
                return Ok(true);
            }
            Answer::List => {
                write!(out, "{}", say::causes(&asked.guide.ranked(&asked.case), false))?;
                return Ok(true);
            }
            Answer::Unsure => return take(asked, &format!("{}=unsure", next.code), out),
            Answer::One(number, sure) => {
                let mark = if sure { "" } else { "?" };
                let word = words.get(number).copied().unwrap_or("unsure");
                return take(asked, &format!("{}={word}{mark}", next.code), out);
            }
            Answer::Own(typed) if typed.contains('=') => return take(asked, &typed, out),
            Answer::Own(_) => {
                writeln!(out, "A number, u, b, l, q, or a finding such as {}={}.", next.code, words[0])?;
            }
        }
    }
}

/// Takes a finding; what cannot be one is told. Always goes on.
fn take(asked: &mut Asked, typed: &str, out: &mut dyn Write) -> io::Result<bool> {
    match Finding::parse(typed, asked.guide.kind, asked.guide.weapon) {
        Ok(finding) => asked.case.findings.push(finding),
        Err(why) => writeln!(out, "{why}. Nothing was taken down.")?,
    }
    Ok(true)
}

/// The cause that was looked at last and is there, once it is also the likeliest.
fn found<'e>(asked: &Asked<'e>) -> Option<Ranked<'e>> {
    let last = asked.case.findings.last().filter(|finding| finding.sure)?;
    let Found::Looked { fault, looked: Looked::Present } = &last.found else { return None };
    asked.guide.ranked(&asked.case).into_iter().next().filter(|first| first.fault().id == fault.id)
}

/// The three likeliest in a line.
fn short(ranked: &[Ranked]) -> String {
    let one = |it: &Ranked| format!("{} {:.0} %", it.fault().title, 100.0 * it.probability);
    format!("\nProbably: {}\n", ranked.iter().take(3).map(one).collect::<Vec<_>>().join("; "))
}

fn ask_complaint(asked: &mut Asked, input: &mut dyn BufRead, out: &mut dyn Write) -> io::Result<bool> {
    let offered = Complaint::for_kind(asked.guide.kind);
    writeln!(out, "\nWhat was reported?")?;
    for (number, complaint) in offered.iter().enumerate() {
        writeln!(out, "  {} {}", number + 1, complaint.title())?;
    }
    loop {
        match read(input, out, offered.len())? {
            Answer::One(number, _) => {
                asked.case.complaint = offered.get(number).copied().unwrap_or(Complaint::Other);
                return Ok(true);
            }
            Answer::Unsure => return Ok(true),
            Answer::End => return Ok(false),
            Answer::Back | Answer::List | Answer::Own(_) => {
                writeln!(out, "A number from 1 to {}, u when nobody knows, q to end.", offered.len())?;
            }
        }
    }
}

/// Reads one line; the end of the input ends it.
fn read(input: &mut dyn BufRead, out: &mut dyn Write, offered: usize) -> io::Result<Answer> {
    write!(out, "> ")?;
    out.flush()?;
    let mut bytes = Vec::new();
    let read = io::Read::take(&mut *input, LONGEST).read_until(b'\n', &mut bytes)?;
    if read == 0 {
        writeln!(out)?;
        return Ok(Answer::End);
    }
    let typed = String::from_utf8_lossy(&bytes).trim().to_owned();
    Ok(meant(&typed, offered))
}

fn meant(typed: &str, offered: usize) -> Answer {
    let (digits, sure) = typed.strip_suffix('?').map_or((typed, true), |digits| (digits, false));
    match digits.parse::<usize>() {
        Ok(number) if (1..=offered).contains(&number) => return Answer::One(number - 1, sure),
        _ => {}
    }
    match typed.to_lowercase().as_str() {
        "u" | "unsure" => Answer::Unsure,
        "b" | "back" => Answer::Back,
        "l" | "list" => Answer::List,
        "q" | "quit" | "end" => Answer::End,
        _ => Answer::Own(typed.to_owned()),
    }
}
