//! Axes and grid: the only file that touches the plotting library, through a drawing backend of
//! our own that writes into a [`Scene`] at 20 units for each point.

use std::convert::Infallible;

use plotters::coord::types::RangedCoordf64;
use plotters::prelude::{ChartBuilder, IntoDrawingArea, IntoFont, RGBColor, ShapeStyle, TextStyle};
use plotters_backend::text_anchor::{HPos, VPos};
use plotters_backend::{
    BackendColor, BackendCoord, BackendStyle, BackendTextStyle, DrawingBackend, DrawingErrorKind,
};

use super::{Frame, Plot};
use crate::dossier::font::{Face, Fonts};
use crate::dossier::scene::{Anchor, Label, Rgb, Scene, Stroke, outline};
use crate::dossier::style;

const UNITS: f64 = 20.0;

/// Draws axes, ticks with their values, and a light grid.
pub(super) fn draw(plot: &Plot, frame: Frame, scene: &mut Scene, fonts: &Fonts) {
    let backend = Backend { scene, fonts };
    // Drawing into a scene cannot fail, and the ranges are not empty.
    let drawn = draw_on(plot, frame, backend);
    debug_assert!(drawn.is_ok(), "{:?}", drawn.err());
}

fn draw_on(plot: &Plot, frame: Frame, backend: Backend) -> Result<(), Box<dyn std::error::Error>> {
    let area = backend.into_drawing_area();
    let label_room = 12.0;
    let mut chart = ChartBuilder::on(&area)
        .margin_left(units(frame.left - label_room - 14.0))
        .margin_top(units(frame.top))
        .margin_right(units(plot.width - frame.right))
        .margin_bottom(units(plot.height - frame.bottom - label_room))
        .x_label_area_size(units(label_room))
        .y_label_area_size(units(label_room + 14.0))
        .build_cartesian_2d::<RangedCoordf64, RangedCoordf64>(
            (plot.x.from..plot.x.to).into(),
            (plot.y.from..plot.y.to).into(),
        )
        .map_err(|error| error.to_string())?;
    let colour = |Rgb(r, g, b): Rgb| RGBColor(r, g, b);
    let text: TextStyle = ("plot", style::PLOT * UNITS).into_font().into();
    let hair = |rgb: Rgb, points: f64| ShapeStyle {
        color: colour(rgb).into(),
        filled: false,
        stroke_width: units(points).unsigned_abs(),
    };
    chart
        .configure_mesh()
        .disable_x_mesh()
        .light_line_style(plotters::style::TRANSPARENT)
        .bold_line_style(hair(style::RULE, 0.35))
        .axis_style(hair(style::INK, 0.6))
        .label_style(text)
        .x_labels(count(frame.right - frame.left, 55.0))
        .y_labels(count(frame.bottom - frame.top, 22.0))
        .x_label_formatter(&|x| number(*x))
        .y_label_formatter(&|y| number(*y))
        .draw()
        .map_err(|error| error.to_string())?;
    Ok(())
}

fn count(length: f64, each: f64) -> usize {
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let most = (length / each).floor().clamp(2.0, 12.0) as usize;
    most
}

#[allow(clippy::cast_possible_truncation)]
fn units(points: f64) -> i32 {
    (points * UNITS).round() as i32
}

fn points(units: i32) -> f64 {
    f64::from(units) / UNITS
}

/// A tick's value: no more decimals than it needs, and a minus that is one.
fn number(value: f64) -> String {
    let fixed = format!("{value:.6}");
    let short = fixed.trim_end_matches('0').trim_end_matches('.');
    match short {
        "" | "-0" => "0".to_owned(),
        other => other.replace('-', "−"),
    }
}

struct Backend<'a> {
    scene: &'a mut Scene,
    fonts: &'a Fonts,
}

impl Backend<'_> {
    fn stroke<S: BackendStyle>(style: &S) -> Stroke {
        let width = f64::from(style.stroke_width()) / UNITS;
        Stroke::solid(width, flat(style.color()))
    }
}

/// Paper shows through what is translucent.
fn flat(colour: BackendColor) -> Rgb {
    let (r, g, b) = colour.rgb;
    Rgb(r, g, b).tint(colour.alpha)
}

fn place((x, y): BackendCoord) -> (f64, f64) {
    (points(x), points(y))
}

type Drawn = Result<(), DrawingErrorKind<Infallible>>;

impl DrawingBackend for Backend<'_> {
    type ErrorType = Infallible;

    fn get_size(&self) -> (u32, u32) {
        (
            units(self.scene.width).unsigned_abs(),
            units(self.scene.height).unsigned_abs(),
        )
    }

    fn ensure_prepared(&mut self) -> Drawn {
        Ok(())
    }

    fn present(&mut self) -> Drawn {
        Ok(())
    }

    fn draw_pixel(&mut self, point: BackendCoord, colour: BackendColor) -> Drawn {
        let side = 1.0 / UNITS;
        self.scene
            .rect(place(point), (side, side), Some(flat(colour)), None);
        Ok(())
    }

    fn draw_line<S: BackendStyle>(
        &mut self,
        from: BackendCoord,
        to: BackendCoord,
        style: &S,
    ) -> Drawn {
        self.draw_path([from, to], style)
    }

    fn draw_rect<S: BackendStyle>(
        &mut self,
        (left, top): BackendCoord,
        (right, bottom): BackendCoord,
        style: &S,
        fill: bool,
    ) -> Drawn {
        let size = (points(right - left), points(bottom - top));
        let at = place((left, top));
        if fill {
            self.scene.rect(at, size, Some(flat(style.color())), None);
        } else {
            self.scene.rect(at, size, None, Some(Self::stroke(style)));
        }
        Ok(())
    }

    fn draw_path<S: BackendStyle, I: IntoIterator<Item = BackendCoord>>(
        &mut self,
        path: I,
        style: &S,
    ) -> Drawn {
        if style.color().alpha > 0.0 {
            let points: Vec<(f64, f64)> = path.into_iter().map(place).collect();
            self.scene.polyline(&points, Self::stroke(style));
        }
        Ok(())
    }

    fn draw_circle<S: BackendStyle>(
        &mut self,
        center: BackendCoord,
        radius: u32,
        style: &S,
        fill: bool,
    ) -> Drawn {
        let radius = f64::from(radius) / UNITS;
        let colour = flat(style.color());
        if fill {
            self.scene.circle(place(center), radius, Some(colour), None);
        } else {
            self.scene
                .circle(place(center), radius, None, Some(Self::stroke(style)));
        }
        Ok(())
    }

    fn fill_polygon<S: BackendStyle, I: IntoIterator<Item = BackendCoord>>(
        &mut self,
        vert: I,
        style: &S,
    ) -> Drawn {
        let points: Vec<(f64, f64)> = vert.into_iter().map(place).collect();
        self.scene
            .path(outline(&points, true), Some(flat(style.color())), None);
        Ok(())
    }

    fn draw_text<T: BackendTextStyle>(
        &mut self,
        text: &str,
        style: &T,
        pos: BackendCoord,
    ) -> Drawn {
        let size = style.size() / UNITS;
        let (x, y) = place(pos);
        // Figures have no descenders: they stand on the cap height.
        let cap = self.fonts.metrics(Face::Condensed).cap_height * size;
        // The library leaves a quarter of a point between a tick and its value; this adds the rest.
        let baseline = match style.anchor().v_pos {
            VPos::Top => y + cap + 5.0,
            VPos::Center => y + cap / 2.0,
            VPos::Bottom => y,
        };
        let (x, anchor) = match style.anchor().h_pos {
            HPos::Left => (x, Anchor::Start),
            HPos::Center => (x, Anchor::Middle),
            HPos::Right => (x - 4.0, Anchor::End),
        };
        self.scene
            .label(Label::new((x, baseline), text, size, flat(style.color())).anchored(anchor));
        Ok(())
    }

    fn estimate_text_size<T: BackendTextStyle>(
        &self,
        text: &str,
        style: &T,
    ) -> Result<(u32, u32), DrawingErrorKind<Infallible>> {
        let size = style.size();
        let width = self.fonts.width(Face::Condensed, size, text);
        let height = self.fonts.metrics(Face::Condensed).cap_height * size;
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        Ok((width.ceil() as u32, height.ceil() as u32))
    }
}
