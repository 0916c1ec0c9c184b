//! The few SVG elements the drawings are made of. Numbers are cut to a thousandth so that the same input gives the same
//! text everywhere.

use std::fmt::Write;

/// A picture under construction.
pub(super) struct Drawing {
    body: String,
    frame: [f64; 4],
    title: String,
}

/// A number as it is written into the picture.
pub(super) fn number(value: f64) -> String {
    let rounded = (value * 1000.0).round() / 1000.0;
    // Minus nought is nought.
    format!("{}", rounded + 0.0)
}

/// Text made safe for XML; characters that XML 1.0 forbids are dropped.
pub(super) fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\t' | '\n' | '\r' => safe.push(' '),
            c if c.is_control() || c == '\u{fffe}' || c == '\u{ffff}' => {}
            c => safe.push(c),
        }
    }
    safe
}

/// How a line or area looks.
#[derive(Clone, Copy)]
pub(super) struct Look {
    pub(super) stroke: &'static str,
    pub(super) fill: &'static str,
    pub(super) width: f64,
    /// Dashes and gaps in units, none for a full line.
    pub(super) dashes: Option<f64>,
}

impl Look {
    pub(super) fn line(stroke: &'static str, width: f64) -> Self {
        Self { stroke, fill: "none", width, dashes: None }
    }

    pub(super) fn dashed(stroke: &'static str, width: f64, dash: f64) -> Self {
        Self { dashes: Some(dash), ..Self::line(stroke, width) }
    }

    pub(super) fn area(stroke: &'static str, fill: &'static str, width: f64) -> Self {
        Self { fill, ..Self::line(stroke, width) }
    }

    fn attributes(self) -> String {
        let dashes =
            self.dashes.map_or(String::new(), |dash| format!(r#" stroke-dasharray="{}""#, number(dash)));
        format!(
            r#"stroke="{}" fill="{}" stroke-width="{}"{dashes}"#,
            self.stroke,
            self.fill,
            number(self.width)
        )
    }
}

impl Drawing {
    /// A picture of the given frame: left, top, width, height.
    pub(super) fn new(title: &str, frame: [f64; 4]) -> Self {
        Self { body: String::new(), frame, title: escaped(title) }
    }

    fn push(&mut self, element: &str) {
        self.body.push_str(element);
        self.body.push('\n');
    }

    pub(super) fn path(&mut self, data: &str, look: Look) {
        self.push(&format!(r#"<path d="{data}" {}/>"#, look.attributes()));
    }

    pub(super) fn circle(&mut self, centre: (f64, f64), radius: f64, look: Look) {
        let (x, y) = (number(centre.0), number(centre.1));
        self.push(&format!(r#"<circle cx="{x}" cy="{y}" r="{}" {}/>"#, number(radius), look.attributes()));
    }

    pub(super) fn segment(&mut self, from: (f64, f64), to: (f64, f64), look: Look) {
        let data = format!("M{} {}L{} {}", number(from.0), number(from.1), number(to.0), number(to.1));
        self.path(&data, look);
    }

    pub(super) fn text(&mut self, at: (f64, f64), size: f64, anchor: &str, text: &str) {
        let (x, y, size) = (number(at.0), number(at.1), number(size));
        self.push(&format!(
            r#"<text x="{x}" y="{y}" font-size="{size}" font-family="sans-serif" text-anchor="{anchor}">{}</text>"#,
            escaped(text)
        ));
    }

    pub(super) fn finish(self) -> String {
        let frame = self.frame.map(number).join(" ");
        let mut svg = String::with_capacity(self.body.len() + 200);
        // Writing to a string cannot fail.
        let _ = write!(
            svg,
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"{frame}\" role=\"img\">\n<title>{}</title>\n{}</svg>\n",
            self.title, self.body
        );
        svg
    }
}

/// Starts or continues a path at a point.
pub(super) fn point(data: &mut String, command: char, (x, y): (f64, f64)) {
    // Writing to a string cannot fail.
    let _ = write!(data, "{command}{} {}", number(x), number(y));
}

/// A point at radius and angle round a centre; the picture's y runs downward.
pub(super) fn polar(centre: (f64, f64), radius: f64, angle: f64) -> (f64, f64) {
    (centre.0 + radius * angle.cos(), centre.1 - radius * angle.sin())
}

/// Parts a flank is drawn in.
const FLANK_PARTS: u32 = 8;

/// Outline of involute teeth all round.
pub(super) struct InvoluteTeeth {
    pub(super) centre: (f64, f64),
    pub(super) tooth_count: u32,
    pub(super) base_radius: f64,
    pub(super) tip_radius: f64,
    pub(super) root_radius: f64,
    /// Tooth thickness on the base circle over the base diameter: half angle of a tooth at the base.
    pub(super) base_half_angle: f64,
    /// Direction of the middle of the first tooth.
    pub(super) first_tooth: f64,
}

impl InvoluteTeeth {
    /// Half angle of a tooth at a radius: s_y/d_y = s_b/d_b − inv α_y.
    fn half_angle(&self, radius: f64) -> f64 {
        let cosine = (self.base_radius / radius).min(1.0);
        let inv = (1.0 - cosine * cosine).sqrt() / cosine - cosine.acos();
        (self.base_half_angle - inv).max(0.0)
    }

    /// Points of one tooth from root over tip to root, counter-clockwise.
    fn tooth(&self, index: u32) -> Vec<(f64, f64)> {
        let middle =
            self.first_tooth + std::f64::consts::TAU * f64::from(index) / f64::from(self.tooth_count);
        let start = self.base_radius.max(self.root_radius).min(self.tip_radius);
        let radius = |part: u32| start + (self.tip_radius - start) * f64::from(part) / f64::from(FLANK_PARTS);
        let mut points = vec![polar(self.centre, self.root_radius, middle - self.half_angle(start))];
        for part in 0..=FLANK_PARTS {
            points.push(polar(self.centre, radius(part), middle - self.half_angle(radius(part))));
        }
        for part in (0..=FLANK_PARTS).rev() {
            points.push(polar(self.centre, radius(part), middle + self.half_angle(radius(part))));
        }
        points.push(polar(self.centre, self.root_radius, middle + self.half_angle(start)));
        points
    }

    /// One closed path of the whole gear; roots are arcs of the root circle.
    pub(super) fn outline(&self) -> String {
        let mut data = String::new();
        let root = number(self.root_radius);
        for index in 0..self.tooth_count {
            for (i, at) in self.tooth(index).into_iter().enumerate() {
                if i > 0 {
                    point(&mut data, 'L', at);
                } else if index == 0 {
                    point(&mut data, 'M', at);
                } else {
                    let _ = write!(data, "A{root} {root} 0 0 0 {} {}", number(at.0), number(at.1));
                }
            }
        }
        data.push('Z');
        data
    }

    /// One tooth as a closed path.
    pub(super) fn tooth_area(&self, index: u32) -> String {
        let mut data = String::new();
        for (i, at) in self.tooth(index).into_iter().enumerate() {
            point(&mut data, if i == 0 { 'M' } else { 'L' }, at);
        }
        data.push('Z');
        data
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_cannot_break_out_of_its_element() {
        assert_eq!(escaped("<script>\"&\u{0}\n"), "&lt;script&gt;&quot;&amp; ");
        assert_eq!(number(-0.0001), "0");
        assert_eq!(number(1.23456), "1.235");
    }
}
