//! The chart of a sweep as an SVG file: back in time above, wait below, by number of benches, with bars for the 95 %
//! intervals. It follows the light or dark of whoever shows it, and tells its two series apart by shape and panel, so
//! that it can be read in grey.

use std::fmt::Write as _;

use remise_rehearsal::pool::Mean;

use super::table::{Row, Table};

const WIDTH: f64 = 720.0;
const HEIGHT: f64 = 560.0;
/// Left and right edge of both panels.
const LEFT: f64 = 76.0;
const RIGHT: f64 = 700.0;
/// Letters of the line that says what was played; more would not fit.
const TITLE_MOST: usize = 90;
/// So many columns have room for the figure beside each point.
const FIGURES_MOST: usize = 14;
/// So many have room for their number below.
const NUMBERS_MOST: usize = 30;
/// Half of a bar's cap.
const CAP: f64 = 5.0;

const STYLE: &str = "\
.paper{fill:#faf9f5}.ink{fill:#25282c}.soft{fill:#5b6067}.rule{stroke:#d5d2ca}.axis{stroke:#5b6067}\
.line{stroke:#7d838b;fill:none}.bar{stroke:#25282c}.mark{fill:#25282c}.hollow{fill:#faf9f5;stroke:#25282c}\
text{font-family:sans-serif;font-size:13px}.title{font-size:17px;font-weight:bold}.value{font-size:12px}\
@media (prefers-color-scheme:dark){.paper{fill:#17191c}.ink{fill:#eceae4}.soft{fill:#a9aeb5}.rule{stroke:#363a40}\
.axis{stroke:#a9aeb5}.line{stroke:#878d95}.bar{stroke:#eceae4}.mark{fill:#eceae4}\
.hollow{fill:#17191c;stroke:#eceae4}}";

/// How a point is marked.
#[derive(Clone, Copy)]
enum Mark {
    Disc,
    Square,
}

/// One panel: what it shows, from 0 to `most`.
struct Panel {
    label: &'static str,
    top: f64,
    bottom: f64,
    most: f64,
    step: f64,
    unit: &'static str,
    mark: Mark,
}

/// Draws the table.
pub(super) fn draw(table: &Table) -> String {
    let waits: Vec<Option<Mean>> = table.rows.iter().map(|row| row.mean_wait_min).collect();
    let shares: Vec<Option<Mean>> =
        table.rows.iter().map(|row| row.on_time_share.map(|share| share.times(100.0))).collect();
    let (step, most) = scale(waits.iter().flatten().map(|wait| wait.ends().1).fold(0.0, f64::max));
    let above = Panel {
        label: "back in time, % of what is wanted by a time",
        top: 110.0,
        bottom: 290.0,
        most: 100.0,
        step: 20.0,
        unit: " %",
        mark: Mark::Disc,
    };
    let below = Panel {
        label: "mean wait for a bench, minutes",
        top: 340.0,
        bottom: 480.0,
        most,
        step,
        unit: "",
        mark: Mark::Square,
    };
    let mut svg = head(table);
    above.draw(&table.rows, &shares, &mut svg);
    below.draw(&table.rows, &waits, &mut svg);
    feet(&table.rows, below.bottom, &mut svg);
    svg.push_str("</svg>\n");
    svg
}

/// A step and the end of an axis that holds so much: a step of 1, 2 or 5 times a power of ten, four to eight of them.
fn scale(most: f64) -> (f64, f64) {
    let most = if most.is_finite() && most > 0.5 { most } else { 1.0 };
    let rough = most / 5.0;
    let power = 10_f64.powf(rough.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0].map(|times| times * power).into_iter().find(|step| *step >= rough);
    let step = step.unwrap_or(power * 10.0);
    (step, (most / step).ceil() * step)
}

/// For text between tags.
fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}

/// Writing to a string cannot fail; its result is dropped in this one place.
fn put(svg: &mut String, line: std::fmt::Arguments<'_>) {
    let _ = svg.write_fmt(format_args!("{line}\n"));
}

fn head(table: &Table) -> String {
    let mut svg = String::new();
    let (title, answer) = ("How many benches are needed?", escaped(&table.answer));
    let days = table.seeds.len();
    let days = if days == 1 { "1 day".to_owned() } else { format!("{days} days") };
    let what = escaped(&table.title.chars().take(TITLE_MOST).collect::<String>());
    let how = format!("the same {days} for each number of benches; bars: 95 % interval of the mean");
    put(
        &mut svg,
        format_args!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{WIDTH}\" height=\"{HEIGHT}\" \
             viewBox=\"0 0 {WIDTH} {HEIGHT}\" role=\"img\">"
        ),
    );
    put(&mut svg, format_args!("<title>{title}</title><desc>{answer}</desc><style>{STYLE}</style>"));
    put(&mut svg, format_args!("<rect class=\"paper\" width=\"{WIDTH}\" height=\"{HEIGHT}\"/>"));
    put(&mut svg, format_args!("<text class=\"ink title\" x=\"24\" y=\"34\">{title}</text>"));
    put(&mut svg, format_args!("<text class=\"soft\" x=\"24\" y=\"55\">{what}</text>"));
    put(&mut svg, format_args!("<text class=\"soft\" x=\"24\" y=\"73\">{how}</text>"));
    svg
}

/// Where a column stands.
fn across(column: usize, columns: usize) -> f64 {
    LEFT + (RIGHT - LEFT) * (column as f64 + 0.5) / columns.max(1) as f64
}

fn feet(rows: &[Row], bottom: f64, svg: &mut String) {
    let y = bottom + 20.0;
    for (column, row) in rows.iter().enumerate().step_by(rows.len().div_ceil(NUMBERS_MOST).max(1)) {
        let x = across(column, rows.len());
        let benches = row.benches;
        put(
            svg,
            format_args!(
                "<text class=\"ink\" x=\"{x:.1}\" y=\"{y}\" text-anchor=\"middle\">{benches}</text>"
            ),
        );
    }
    let (middle, y) = (f64::midpoint(LEFT, RIGHT), bottom + 44.0);
    put(
        svg,
        format_args!(
            "<text class=\"soft\" x=\"{middle}\" y=\"{y}\" text-anchor=\"middle\">number of benches</text>"
        ),
    );
}

impl Panel {
    fn height(&self, value: f64) -> f64 {
        self.bottom - (self.bottom - self.top) * (value / self.most).clamp(0.0, 1.0)
    }

    fn draw(&self, rows: &[Row], values: &[Option<Mean>], svg: &mut String) {
        self.frame(svg);
        let points: Vec<(f64, Mean)> = values
            .iter()
            .enumerate()
            .filter_map(|(column, value)| Some((across(column, rows.len()), (*value)?)))
            .collect();
        let path: Vec<String> =
            points.iter().map(|(x, value)| format!("{x:.1},{:.1}", self.height(value.mean))).collect();
        put(svg, format_args!("<polyline class=\"line\" points=\"{}\"/>", path.join(" ")));
        for (x, value) in points {
            self.point(x, value, svg);
            if rows.len() <= FIGURES_MOST {
                self.figure(x, value, svg);
            }
        }
    }

    fn frame(&self, svg: &mut String) {
        let (label, y) = (self.label, self.top - 14.0);
        put(svg, format_args!("<text class=\"ink\" x=\"{LEFT}\" y=\"{y}\">{label}</text>"));
        let steps = (self.most / self.step).round() as u32;
        for step in 0..=steps {
            let value = f64::from(step) * self.step;
            let (y, class) = (self.height(value), if step == 0 { "axis" } else { "rule" });
            let (end, low, unit) = (LEFT - 8.0, y + 4.0, self.unit);
            let places = usize::from(self.step < 1.0);
            put(
                svg,
                format_args!(
                    "<line class=\"{class}\" x1=\"{LEFT}\" x2=\"{RIGHT}\" y1=\"{y:.1}\" y2=\"{y:.1}\"/>"
                ),
            );
            put(
                svg,
                format_args!(
                    "<text class=\"soft\" x=\"{end}\" y=\"{low:.1}\" text-anchor=\"end\">{value:.places$}{unit}</text>"
                ),
            );
        }
    }

    fn point(&self, x: f64, value: Mean, svg: &mut String) {
        let y = self.height(value.mean);
        let (low, high) = value.ends();
        let (low, high) = (self.height(low), self.height(high));
        let (left, right) = (x - CAP, x + CAP);
        put(
            svg,
            format_args!(
                "<path class=\"bar\" d=\"M{x:.1} {low:.1}V{high:.1}M{left:.1} {low:.1}H{right:.1}M{left:.1} \
                 {high:.1}H{right:.1}\"/>"
            ),
        );
        match self.mark {
            Mark::Disc => {
                put(svg, format_args!("<circle class=\"mark\" cx=\"{x:.1}\" cy=\"{y:.1}\" r=\"4.5\"/>"));
            }
            Mark::Square => {
                let (left, top) = (x - 4.5, y - 4.5);
                put(
                    svg,
                    format_args!(
                        "<rect class=\"hollow\" x=\"{left:.1}\" y=\"{top:.1}\" width=\"9\" height=\"9\"/>"
                    ),
                );
            }
        }
    }

    /// The figure beside its point.
    fn figure(&self, x: f64, value: Mean, svg: &mut String) {
        let (x, y, mean, unit) = (x + 9.0, self.height(value.mean) - 6.0, value.mean, self.unit);
        put(svg, format_args!("<text class=\"ink value\" x=\"{x:.1}\" y=\"{y:.1}\">{mean:.1}{unit}</text>"));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rehearse::table::tests::made_up;

    #[test]
    fn a_chart_has_its_title_labels_points_and_bars() {
        let svg = draw(&made_up(&[(2, &[0.6, 0.64]), (3, &[0.9, 0.88]), (4, &[0.9, 0.9])]));
        for expected in [
            "How many benches",
            "number of benches",
            "minutes",
            "62.0 %",
            "prefers-color-scheme:dark",
            "4</text>",
        ] {
            assert!(svg.contains(expected), "{expected} is missing in\n{svg}");
        }
        assert_eq!(svg.matches("class=\"bar\"").count(), 6, "three points in two panels");
        assert_eq!((svg.matches("<circle").count(), svg.matches("class=\"hollow\"").count()), (3, 3));
        assert!(svg.contains("Made &lt;up&gt; &amp; tried") && !svg.contains("<up>"));
        assert!(!svg.contains("NaN") && !svg.contains("inf"));
    }

    /// Tags open and close in order: enough of a check for what is written here.
    #[test]
    fn every_tag_is_closed() {
        let svg = draw(&made_up(&[(2, &[0.6]), (3, &[1.0])]));
        let mut open = Vec::new();
        for tag in svg.split('<').skip(1).filter_map(|part| part.split_once('>')).map(|(tag, _)| tag) {
            if let Some(name) = tag.strip_prefix('/') {
                assert_eq!(open.pop(), Some(name), "{svg}");
            } else if !tag.ends_with('/') {
                open.extend(tag.split_whitespace().next());
            }
        }
        assert!(open.is_empty(), "{open:?}");
    }

    /// Worked by hand.
    #[test]
    fn axes_end_on_a_step() {
        assert_eq!([scale(23.0), scale(4.9), scale(0.0)], [(5.0, 25.0), (1.0, 5.0), (0.2, 1.0)]);
    }
}
