//! The look: fonts, colours, text sizes, and the three themes.

use egui::{Color32, CornerRadius, FontData, FontDefinitions, FontFamily, FontId, Margin, RichText, Stroke, TextStyle};
use std::sync::Arc;

/// The one spacing unit, points.
pub const UNIT: f32 = 4.0;
/// Text size of ticks, notes and units.
pub const SMALL: f32 = 10.5;
/// Text size of everything else.
pub const BODY: f32 = 12.0;
/// Text size of titles of places.
pub const TITLE: f32 = 15.0;
/// Text size of the identity that must be read across a car.
pub const HUGE: f32 = 120.0;

const SEMIBOLD: &str = "semibold";
const BOLD_NUMBERS: &str = "bold numbers";
const IDENTITY: &str = "identity";

/// The three looks.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Theme {
    /// Light, for sunlight on the screen.
    #[default]
    Sunlight,
    /// Dark, for the evening.
    Dark,
    /// White and strong colours on black.
    HighContrast,
}

impl Theme {
    /// All of them.
    pub const ALL: [Theme; 3] = [Theme::Sunlight, Theme::Dark, Theme::HighContrast];

    /// What it is called on screen.
    pub fn label(self) -> &'static str {
        match self {
            Theme::Sunlight => "light",
            Theme::Dark => "dark",
            Theme::HighContrast => "high contrast",
        }
    }
}

/// Colours and strengths of one theme.
#[derive(Clone, Debug)]
pub(crate) struct Look {
    pub dark: bool,
    pub page: Color32,
    pub card: Color32,
    pub plot: Color32,
    pub rail: Color32,
    pub rail_text: Color32,
    pub text: Color32,
    pub weak: Color32,
    pub hairline: Color32,
    pub border: Color32,
    pub grid: Color32,
    pub hover: Color32,
    pub chosen: Color32,
    pub band: Color32,
    pub bar: Color32,
    pub neutral: Color32,
    pub good: Color32,
    pub good_fill: Color32,
    pub crossed: Color32,
    pub crossed_fill: Color32,
    pub caution: Color32,
    pub caution_fill: Color32,
    pub step: Color32,
    pub step_text: Color32,
    pub shade: Color32,
    pub modes: [Color32; 6],
    /// Stroke width of the mode in front.
    pub front: f32,
    /// Stroke width of the other modes.
    pub behind: f32,
}

const fn rgb(hex: u32) -> Color32 {
    Color32::from_rgb((hex >> 16) as u8, (hex >> 8) as u8, hex as u8)
}

static SUNLIGHT: Look = Look {
    dark: false,
    page: rgb(0xf4f3ef),
    card: rgb(0xffffff),
    plot: rgb(0xffffff),
    rail: rgb(0x22303a),
    rail_text: rgb(0xe6ebee),
    text: rgb(0x15191c),
    weak: rgb(0x596068),
    hairline: rgb(0xdad8d1),
    border: rgb(0xb5b3ab),
    grid: rgb(0xe9e8e3),
    hover: rgb(0xe9e7e0),
    chosen: rgb(0x15191c),
    band: rgb(0xe4e3dd),
    bar: rgb(0xcfd6da),
    neutral: rgb(0x6c747b),
    good: rgb(0x1f6b36),
    good_fill: rgb(0xeaf3e5),
    crossed: rgb(0x9b3d0c),
    crossed_fill: rgb(0xfbeee5),
    caution: rgb(0x7a5200),
    caution_fill: rgb(0xfdf5dc),
    step: rgb(0x1f5c8a),
    step_text: rgb(0xffffff),
    shade: rgb(0x7fb0d6),
    modes: [rgb(0x0072b2), rgb(0x009e73), rgb(0xd55e00), rgb(0xe69f00), rgb(0x56b4e9), rgb(0xcc79a7)],
    front: 2.4,
    behind: 1.5,
};

static DARK: Look = Look {
    dark: true,
    page: rgb(0x1b1e21),
    card: rgb(0x24282c),
    plot: rgb(0x16191b),
    rail: rgb(0x0f1214),
    rail_text: rgb(0xc9d0d4),
    text: rgb(0xe9ebec),
    weak: rgb(0x9fa6ab),
    hairline: rgb(0x3a4046),
    border: rgb(0x565e65),
    grid: rgb(0x282c30),
    hover: rgb(0x30363b),
    chosen: rgb(0xf3f4f4),
    band: rgb(0x2c3135),
    bar: rgb(0x3d464d),
    neutral: rgb(0x9aa2a8),
    good: rgb(0x7fcf94),
    good_fill: rgb(0x1f3225),
    crossed: rgb(0xff9a66),
    crossed_fill: rgb(0x3f2719),
    caution: rgb(0xf0c667),
    caution_fill: rgb(0x3a301a),
    step: rgb(0x2d79b3),
    step_text: rgb(0xffffff),
    shade: rgb(0x2f6690),
    modes: [rgb(0x3f9fdc), rgb(0x1fbf93), rgb(0xf0793a), rgb(0xeeb131), rgb(0x86ccf5), rgb(0xdd93bb)],
    front: 2.2,
    behind: 1.4,
};

static HIGH_CONTRAST: Look = Look {
    dark: true,
    page: rgb(0x000000),
    card: rgb(0x000000),
    plot: rgb(0x000000),
    rail: rgb(0x000000),
    rail_text: rgb(0xffffff),
    text: rgb(0xffffff),
    weak: rgb(0xe0e0e0),
    hairline: rgb(0x9a9a9a),
    border: rgb(0xffffff),
    grid: rgb(0x383838),
    hover: rgb(0x333333),
    chosen: rgb(0xffff00),
    band: rgb(0x3a3a3a),
    bar: rgb(0x6a6a6a),
    neutral: rgb(0xd0d0d0),
    good: rgb(0x66ff99),
    good_fill: rgb(0x00280f),
    crossed: rgb(0xffa36b),
    crossed_fill: rgb(0x3a1600),
    caution: rgb(0xffe14d),
    caution_fill: rgb(0x2e2600),
    step: rgb(0xffff00),
    step_text: rgb(0x000000),
    shade: rgb(0x2a6cff),
    modes: [rgb(0x4db8ff), rgb(0x2effb4), rgb(0xff8a3d), rgb(0xffc928), rgb(0xb3e3ff), rgb(0xff9ed2)],
    front: 3.2,
    behind: 2.2,
};

impl Look {
    /// Colours of a theme.
    pub fn of(theme: Theme) -> &'static Look {
        match theme {
            Theme::Sunlight => &SUNLIGHT,
            Theme::Dark => &DARK,
            Theme::HighContrast => &HIGH_CONTRAST,
        }
    }

    /// Colour of a mode by its place in the session.
    pub fn mode(&self, index: usize) -> Color32 {
        self.modes[index % self.modes.len()]
    }

    /// Hairline stroke.
    pub fn line(&self) -> Stroke {
        Stroke::new(1.0, self.hairline)
    }

    /// Frame of a card: white, hairline, small corners.
    pub fn card_frame(&self) -> egui::Frame {
        egui::Frame::NONE
            .fill(self.card)
            .stroke(self.line())
            .corner_radius(CornerRadius::same(3))
            .inner_margin(Margin::symmetric(8, 6))
    }

    /// `a` mixed with `share` of `b`.
    pub fn mix(a: Color32, b: Color32, share: f32) -> Color32 {
        a.lerp_to_gamma(b, share.clamp(0.0, 1.0))
    }
}

/// Every face: name, file and family names; the first of a family draws what it can, DejaVu Sans the rest.
const FACES: [(&str, &[u8]); 6] = [
    ("inter", include_bytes!("../../../assets/fonts/Inter-Regular.otf")),
    ("inter semibold", include_bytes!("../../../assets/fonts/Inter-SemiBold.otf")),
    ("numbers", include_bytes!("../../../assets/fonts/WashboardNumbers-Regular.otf")),
    ("numbers semibold", include_bytes!("../../../assets/fonts/WashboardNumbers-SemiBold.otf")),
    ("b612 mono bold", include_bytes!("../../../assets/fonts/B612Mono-Bold.otf")),
    ("dejavu sans", include_bytes!("../../../assets/fonts/DejaVuSans.ttf")),
];

/// The files of all faces, for whoever draws text outside the window, as pictures of plots do.
pub fn font_files() -> impl Iterator<Item = &'static [u8]> {
    FACES.into_iter().map(|(_, bytes)| bytes)
}

/// Installs the free fonts that carry every sign in use: Inter for text, its semi-bold as a family of its own, Inter with
/// digits of equal width for numbers, B612 Mono for identities, DejaVu Sans behind all of them.
pub fn install_fonts(ctx: &egui::Context) {
    let mut fonts = FontDefinitions::empty();
    for (name, bytes) in FACES {
        fonts.font_data.insert(name.to_owned(), Arc::new(FontData::from_static(bytes)));
    }
    for (family, first) in [
        (FontFamily::Proportional, "inter"),
        (FontFamily::Name(SEMIBOLD.into()), "inter semibold"),
        (FontFamily::Monospace, "numbers"),
        (FontFamily::Name(BOLD_NUMBERS.into()), "numbers semibold"),
        (FontFamily::Name(IDENTITY.into()), "b612 mono bold"),
    ] {
        fonts.families.insert(family, vec![first.to_owned(), "dejavu sans".to_owned()]);
    }
    ctx.set_fonts(fonts);
}

/// The face of a family by name and weight as pictures name it.
pub(crate) fn face(family: &FontFamily) -> (&'static str, u32) {
    match family {
        FontFamily::Proportional => ("Inter", 400),
        FontFamily::Monospace => ("Washboard Numbers", 400),
        FontFamily::Name(name) => match &**name {
            BOLD_NUMBERS => ("Washboard Numbers", 600),
            IDENTITY => ("B612 Mono", 700),
            _ => ("Inter", 600),
        },
    }
}

/// Applies a theme to everything that is drawn from the next pass on.
pub fn apply_theme(ctx: &egui::Context, theme: Theme) {
    let look = Look::of(theme);
    let style = style(look);
    ctx.set_style_of(egui::Theme::Light, style.clone());
    ctx.set_style_of(egui::Theme::Dark, style);
    ctx.set_theme(if look.dark { egui::ThemePreference::Dark } else { egui::ThemePreference::Light });
}

fn style(look: &Look) -> egui::Style {
    let mut style = egui::Style {
        visuals: if look.dark { egui::Visuals::dark() } else { egui::Visuals::light() },
        ..Default::default()
    };
    style.text_styles = [
        (TextStyle::Small, FontId::new(SMALL, FontFamily::Proportional)),
        (TextStyle::Body, FontId::new(BODY, FontFamily::Proportional)),
        (TextStyle::Button, FontId::new(BODY, FontFamily::Proportional)),
        (TextStyle::Monospace, FontId::new(BODY - 0.5, FontFamily::Monospace)),
        (TextStyle::Heading, FontId::new(TITLE, FontFamily::Proportional)),
    ]
    .into();
    style.spacing.item_spacing = egui::vec2(UNIT, UNIT);
    style.spacing.button_padding = egui::vec2(6.0, 2.0);
    style.spacing.interact_size = egui::vec2(20.0, 20.0);
    style.spacing.menu_margin = Margin::same(4);
    style.spacing.window_margin = Margin::same(12);
    style.spacing.icon_width = 14.0;
    style.spacing.icon_width_inner = 8.0;
    style.spacing.tooltip_width = 380.0;
    style.spacing.combo_width = 60.0;
    style.spacing.scroll = egui::style::ScrollStyle { foreground_color: true, ..egui::style::ScrollStyle::floating() };
    style.interaction.tooltip_delay = 0.35;
    style.interaction.selectable_labels = false;
    style.animation_time = 0.05;

    let v = &mut style.visuals;
    v.dark_mode = look.dark;
    v.override_text_color = None;
    v.weak_text_color = Some(look.weak);
    v.panel_fill = look.page;
    v.window_fill = look.card;
    v.window_stroke = Stroke::new(1.0, look.border);
    v.window_corner_radius = CornerRadius::same(4);
    v.menu_corner_radius = CornerRadius::same(4);
    v.extreme_bg_color = look.plot;
    v.text_edit_bg_color = Some(look.plot);
    v.faint_bg_color = Look::mix(look.card, look.text, 0.03);
    v.code_bg_color = look.hover;
    v.warn_fg_color = look.caution;
    v.error_fg_color = look.crossed;
    v.hyperlink_color = look.step;
    v.selection.bg_fill = Look::mix(look.card, look.step, if look.dark { 0.6 } else { 0.25 });
    v.selection.stroke = Stroke::new(1.0, look.text);
    let radius = CornerRadius::same(3);
    let widget = |fill: Color32, stroke: Stroke, text: Color32| egui::style::WidgetVisuals {
        bg_fill: fill,
        weak_bg_fill: fill,
        bg_stroke: stroke,
        corner_radius: radius,
        fg_stroke: Stroke::new(1.0, text),
        expansion: 0.0,
    };
    v.widgets.noninteractive = widget(look.card, look.line(), look.text);
    v.widgets.inactive = widget(look.card, look.line(), look.text);
    v.widgets.hovered = widget(look.hover, Stroke::new(1.0, look.border), look.text);
    v.widgets.active = widget(look.hover, Stroke::new(1.0, look.chosen), look.text);
    v.widgets.open = widget(look.hover, Stroke::new(1.0, look.border), look.text);
    style
}

/// The semi-bold family where it is installed, else the text family.
pub(crate) fn semibold(ctx: &egui::Context) -> FontFamily {
    let family = FontFamily::Name(SEMIBOLD.into());
    if ctx.fonts(|f| f.definitions().families.contains_key(&family)) { family } else { FontFamily::Proportional }
}

/// The bold face of numbers where it is installed, else the plain one.
pub(crate) fn bold_numbers(ctx: &egui::Context) -> FontFamily {
    let family = FontFamily::Name(BOLD_NUMBERS.into());
    if ctx.fonts(|f| f.definitions().families.contains_key(&family)) { family } else { FontFamily::Monospace }
}

/// The face of identities, where no letter can be taken for a digit, if it is installed.
pub(crate) fn identity_face(ctx: &egui::Context) -> FontFamily {
    let family = FontFamily::Name(IDENTITY.into());
    if ctx.fonts(|f| f.definitions().families.contains_key(&family)) { family } else { FontFamily::Monospace }
}

/// An identity as text of a size.
pub(crate) fn identity(ui: &egui::Ui, text: impl Into<String>, size: f32) -> RichText {
    RichText::new(text).font(FontId::new(size, identity_face(ui.ctx())))
}

/// Frame of a dialog.
pub(crate) fn dialog_frame(look: &Look) -> egui::Frame {
    egui::Frame::NONE
        .fill(look.card)
        .stroke(Stroke::new(1.0, look.border))
        .corner_radius(CornerRadius::same(4))
        .inner_margin(Margin::same(16))
}

/// Semi-bold text of a size.
pub(crate) fn bold(ui: &egui::Ui, text: impl Into<String>, size: f32) -> RichText {
    RichText::new(text).font(FontId::new(size, semibold(ui.ctx())))
}

/// Small, weak text: notes and units.
pub(crate) fn note(look: &Look, text: impl Into<String>) -> RichText {
    RichText::new(text).size(SMALL).color(look.weak)
}

/// A number in the face with equal digits.
pub(crate) fn number(text: impl Into<String>, size: f32) -> RichText {
    RichText::new(text).font(FontId::new(size, FontFamily::Monospace))
}
