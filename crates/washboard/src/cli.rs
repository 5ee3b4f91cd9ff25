//! The command line: one verb a struct, names fixed by the contract.

use clap::{Args, Parser, Subcommand, ValueEnum};
use std::path::PathBuf;
use washboard_handover::Width;
use washboard_handover::layout::TableName;
use washboard_study::Model;

/// Calibrate semi-active dampers: with no verb the window opens, with a verb no display is touched.
#[derive(Debug, Parser)]
#[command(
    name = "washboard",
    version,
    about,
    args_conflicts_with_subcommands = true,
    disable_help_subcommand = true,
    after_help = "Exit status: 0 done; 1 done, and something asked for does not hold; 2 bad input.\n\
                  Numbers in results are SI with the unit in the name.\n\n\
                  Prototype calibrations are for trained drivers on closed courses. Simulation does not replace measurement."
)]
pub struct Cli {
    /// Session file (.ron or .json) to open in the window; without one the demo opens
    #[arg(value_name = "SESSION")]
    pub session: Option<PathBuf>,
    /// What to do without a window
    #[command(subcommand)]
    pub verb: Option<Verb>,
}

/// The headless verbs.
#[derive(Debug, Subcommand)]
pub enum Verb {
    /// Scorecards of modes × events × load cases
    Evaluate(Evaluate),
    /// Time histories of one mode over one event, as CSV
    Trace(Trace),
    /// Transmissibility and wheel-load response over frequency
    Response(Response),
    /// Scorecards side by side, differences to a reference mode, map differences
    Compare(Compare),
    /// A report for a colleague who was not there, as HTML or PDF
    Report(Report),
    /// Write the parameter set for the car into a new folder
    Export(Export),
    /// Read a handed-over set back and check its identity and content
    Verify(Verify),
    /// How long the live computation takes here
    Time(Time),
    /// r.m.s., weighted r.m.s., vibration dose and bands of a measured record
    Analyse(Analyse),
    /// Roughness index, displacement density and class of a measured profile
    Road(Road),
    /// The sets a session handed over, as a tree; compare two, or go on from one
    Sets(Sets),
    /// Propose a layout of a control unit's memory for a set
    Layout(Layout),
    /// Validate a session
    Check(Check),
    /// Convert a session between RON and JSON without loss
    Convert(Convert),
    /// Print the JSON Schema of the session
    Schema(Schema),
}

/// The vehicle models by their names in the contract.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum ModelName {
    /// Front corner alone
    QuarterFront,
    /// Rear corner alone
    QuarterRear,
    /// Half car in pitch
    Pitch,
    /// Half car in roll on the front axle
    RollFront,
    /// Half car in roll on the rear axle
    RollRear,
    /// Full car
    Full,
}

impl From<ModelName> for Model {
    fn from(name: ModelName) -> Model {
        match name {
            ModelName::QuarterFront => Model::QuarterFront,
            ModelName::QuarterRear => Model::QuarterRear,
            ModelName::Pitch => Model::Pitch,
            ModelName::RollFront => Model::RollFront,
            ModelName::RollRear => Model::RollRear,
            ModelName::Full => Model::Full,
        }
    }
}

/// Where printed results go.
#[derive(Debug, Args)]
pub struct Output {
    /// Write the result to this file instead of standard output
    #[arg(long = "out", value_name = "FILE")]
    pub out: Option<PathBuf>,
}

/// What is assumed in place of what the session says.
#[derive(Clone, Copy, Debug, Default, Args)]
pub struct Assumed {
    /// Where the law's states come from; default what the session says
    #[arg(long, value_enum)]
    pub states: Option<StatesName>,
    /// Dampers at this temperature, °C; default what the session says
    #[arg(long, value_name = "T", allow_negative_numbers = true)]
    pub damper_temperature_c: Option<f64>,
    /// No current in any valve: the dampers follow their curves without supply
    #[arg(long)]
    pub supply_lost: bool,
}

/// Where the law's states come from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum StatesName {
    /// The controller knows the true states
    Ideal,
    /// Estimated from the session's sensors, or from faultless ones where it names none
    Estimated,
}

/// `washboard evaluate`
#[derive(Debug, Args)]
pub struct Evaluate {
    /// Session file, .ron or .json
    pub session: PathBuf,
    /// Vehicle model
    #[arg(long, value_enum, default_value = "full")]
    pub model: ModelName,
    /// Mode by name, once each; default all
    #[arg(long = "mode", value_name = "NAME")]
    pub modes: Vec<String>,
    /// Event by name, once each; default all
    #[arg(long = "event", value_name = "NAME")]
    pub events: Vec<String>,
    /// Load case by name, once each; default all
    #[arg(long = "load-case", value_name = "NAME")]
    pub load_cases: Vec<String>,
    /// Draw each random road this often and add the mean and 95 % interval of its figures
    #[arg(long, value_name = "N", allow_negative_numbers = true, value_parser = clap::value_parser!(u32).range(2..=1000))]
    pub seeds: Option<u32>,
    /// JSON instead of tables
    #[arg(long)]
    pub json: bool,
    #[command(flatten)]
    pub assumed: Assumed,
    #[command(flatten)]
    pub output: Output,
}

/// `washboard trace`
#[derive(Debug, Args)]
pub struct Trace {
    /// Session file, .ron or .json
    pub session: PathBuf,
    /// Mode by name
    #[arg(long, value_name = "NAME")]
    pub mode: String,
    /// Event by name
    #[arg(long, value_name = "NAME")]
    pub event: String,
    /// Vehicle model
    #[arg(long, value_enum, default_value = "full")]
    pub model: ModelName,
    /// Load case by name; default the car as described
    #[arg(long, value_name = "NAME")]
    pub load_case: Option<String>,
    #[command(flatten)]
    pub assumed: Assumed,
    #[command(flatten)]
    pub output: Output,
}

/// `washboard response`
#[derive(Debug, Args)]
pub struct Response {
    /// Session file, .ron or .json
    pub session: PathBuf,
    /// Mode by name
    #[arg(long, value_name = "NAME")]
    pub mode: String,
    /// Vehicle model
    #[arg(long, value_enum, default_value = "full")]
    pub model: ModelName,
    /// Load case by name; default the car as described
    #[arg(long, value_name = "NAME")]
    pub load_case: Option<String>,
    /// Speed at which the maps are held, km/h
    #[arg(long, value_name = "V", allow_negative_numbers = true)]
    pub speed_km_h: f64,
    /// Road roughness level at which the maps are held, m/s^2
    #[arg(long, value_name = "R", allow_negative_numbers = true)]
    pub roughness_m_per_s2: f64,
    /// Amplitude of the road's vertical velocity, m/s
    #[arg(long, value_name = "A", default_value_t = 0.1, allow_negative_numbers = true)]
    pub velocity_amplitude_m_per_s: f64,
    /// Frequencies in Hz, separated by commas; default a logarithmic row from 0.3 to 30 Hz
    #[arg(long, value_name = "LIST", value_delimiter = ',', allow_hyphen_values = true)]
    pub frequencies_hz: Vec<f64>,
    /// JSON instead of a table
    #[arg(long)]
    pub json: bool,
    #[command(flatten)]
    pub assumed: Assumed,
    #[command(flatten)]
    pub output: Output,
}

/// `washboard time`
#[derive(Debug, Args)]
pub struct Time {
    /// Session file, .ron or .json
    pub session: PathBuf,
    /// Vehicle model
    #[arg(long, value_enum, default_value = "full")]
    pub model: ModelName,
    #[command(flatten)]
    pub assumed: Assumed,
    /// JSON instead of a table
    #[arg(long)]
    pub json: bool,
    #[command(flatten)]
    pub output: Output,
}

/// `washboard report`
#[derive(Debug, Args)]
pub struct Report {
    /// Session file, .ron or .json
    pub session: PathBuf,
    /// File to write, .html or .pdf
    #[arg(long, value_name = "FILE")]
    pub out: PathBuf,
    /// Mode by name, once each; default all
    #[arg(long = "mode", value_name = "NAME")]
    pub modes: Vec<String>,
    /// The mode that the others are compared with; default the session's reference mode
    #[arg(long, value_name = "NAME")]
    pub reference: Option<String>,
    /// Vehicle model
    #[arg(long, value_enum, default_value = "full")]
    pub model: ModelName,
    /// Load case by name, once each, curves of the first; default the car as described
    #[arg(long = "load-case", value_name = "NAME")]
    pub load_cases: Vec<String>,
    /// Event shown over time; default the first obstacle or manoeuvre
    #[arg(long, value_name = "NAME")]
    pub event: Option<String>,
    /// Speed of the responses over frequency, km/h
    #[arg(long, value_name = "V", default_value_t = 80.0, allow_negative_numbers = true)]
    pub speed_km_h: f64,
    /// Roughness level of the responses over frequency, m/s²
    #[arg(long, value_name = "R", default_value_t = 2.0, allow_negative_numbers = true)]
    pub roughness_m_per_s2: f64,
    /// Time written into the report, RFC 3339; default now
    #[arg(long, value_name = "TIME")]
    pub time: Option<String>,
    #[command(flatten)]
    pub assumed: Assumed,
}

/// `washboard compare`
#[derive(Debug, Args)]
pub struct Compare {
    /// Session file, .ron or .json
    pub session: PathBuf,
    /// The mode that the others are compared with
    #[arg(long, value_name = "NAME")]
    pub reference: String,
    /// Mode by name, once each; default all
    #[arg(long = "mode", value_name = "NAME")]
    pub modes: Vec<String>,
    /// Vehicle model
    #[arg(long, value_enum, default_value = "full")]
    pub model: ModelName,
    /// Event by name, once each; default all
    #[arg(long = "event", value_name = "NAME")]
    pub events: Vec<String>,
    /// Load case by name; default the car as described
    #[arg(long, value_name = "NAME")]
    pub load_case: Option<String>,
    /// Layout of a control unit: beside each mode stands what it holds of it, quantised and with its finite inverse table
    #[arg(long, value_name = "LAYOUT")]
    pub in_car: Option<PathBuf>,
    /// How many random roads each class road is drawn as, for the interval of the differences
    #[arg(long, value_name = "N", default_value_t = 8, allow_negative_numbers = true)]
    pub seeds: u32,
    /// JSON instead of tables
    #[arg(long)]
    pub json: bool,
    #[command(flatten)]
    pub assumed: Assumed,
    #[command(flatten)]
    pub output: Output,
}

/// `washboard export`
#[derive(Debug, Args)]
pub struct Export {
    /// Session file, .ron or .json
    pub session: PathBuf,
    /// Mode by name, once each
    #[arg(long = "mode", value_name = "NAME", required = true)]
    pub modes: Vec<String>,
    /// New or empty folder that the set is written to
    #[arg(long, value_name = "DIR")]
    pub out: PathBuf,
    /// What the set is for
    #[arg(long, value_name = "TEXT", default_value = "")]
    pub note: String,
    /// Layout of the control unit's memory (.ron or .json): adds the memory image, Intel HEX and plain binary
    #[arg(long, value_name = "FILE")]
    pub layout: Option<PathBuf>,
    /// What the set may be used for; beyond a draft every check must pass or be waived
    #[arg(long, value_enum, default_value = "draft")]
    pub status: StatusName,
    /// A check that does not pass and why the set goes out all the same, as CHECK=SENTENCE
    #[arg(long = "waive", value_name = "CHECK=SENTENCE", value_parser = waiver)]
    pub waivers: Vec<(String, String)>,
    /// The cautions were read; else as the session remembers
    #[arg(long)]
    pub acknowledge_caution: bool,
    /// Who answers for wider use; else as the session remembers
    #[arg(long, value_name = "NAME")]
    pub responsible: Option<String>,
    /// What wider use is for; else as the session remembers
    #[arg(long, value_name = "TEXT")]
    pub purpose: Option<String>,
    /// Adds C header and source, in these numbers
    #[arg(long, value_enum, value_name = "NUMBERS")]
    pub c: Option<CNumbersName>,
}

/// What a set may be used for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum StatusName {
    /// For the bench and for reading
    Draft,
    /// For trained drivers on closed courses
    TrackOnly,
    /// For more than that
    WiderUse,
}

fn waiver(text: &str) -> Result<(String, String), String> {
    let (check, sentence) = text.split_once('=').ok_or("it must be the check's short name, = and a sentence")?;
    Ok((check.trim().to_owned(), sentence.trim().to_owned()))
}

/// `washboard sets`
#[derive(Debug, Args)]
pub struct Sets {
    /// Session file, .ron or .json
    pub session: PathBuf,
    /// First digits of two identities: what differs from the first set to the second
    #[arg(long, value_name = "IDENTITY", num_args = 2, conflicts_with = "start_from")]
    pub compare: Vec<String>,
    /// First digits of an identity: a session that goes on from that set, to --out
    #[arg(long, value_name = "IDENTITY", requires = "out")]
    pub start_from: Option<String>,
    /// JSON instead of text
    #[arg(long)]
    pub json: bool,
    #[command(flatten)]
    pub output: Output,
}

/// What the numbers of C files are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum CNumbersName {
    /// Types, factors and offsets of the layout
    Layout,
    /// Single-precision floating point
    Float,
    /// Whole numbers of 8 bits, each table with the finest factor that holds its range
    Fixed8,
    /// Whole numbers of 16 bits
    Fixed16,
    /// Whole numbers of 32 bits
    Fixed32,
}

/// What the numbers of a proposed layout are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum WidthName {
    /// Single-precision floating point
    Float,
    /// Whole numbers of 8 bits
    Fixed8,
    /// Whole numbers of 16 bits
    Fixed16,
    /// Whole numbers of 32 bits
    Fixed32,
}

impl From<WidthName> for Width {
    fn from(name: WidthName) -> Width {
        match name {
            WidthName::Float => Width::Float,
            WidthName::Fixed8 => Width::Bits8,
            WidthName::Fixed16 => Width::Bits16,
            WidthName::Fixed32 => Width::Bits32,
        }
    }
}

/// `washboard layout`
#[derive(Debug, Args)]
pub struct Layout {
    /// Session file, .ron or .json
    pub session: PathBuf,
    /// Mode by name, once each
    #[arg(long = "mode", value_name = "NAME", required = true)]
    pub modes: Vec<String>,
    /// Numbers of the layout
    #[arg(long, value_enum, default_value = "fixed16")]
    pub numbers: WidthName,
    /// Other numbers for the cells of one kind of table, such as heave=fixed8, once each
    #[arg(long = "cells", value_name = "TABLE=NUMBERS", value_parser = cells)]
    pub cells: Vec<(TableName, WidthName)>,
    /// Every table has axes of its own; else equal ones stand in memory once
    #[arg(long)]
    pub separate_axes: bool,
    /// Address of the first byte, such as 0x80040000
    #[arg(long, value_name = "ADDRESS", default_value = "0", value_parser = address)]
    pub address: u32,
    /// Most significant byte first
    #[arg(long)]
    pub big_endian: bool,
    /// Name of the control unit
    #[arg(long, value_name = "TEXT", default_value = "control unit")]
    pub name: String,
    /// Version of the arrangement that its software expects
    #[arg(long, value_name = "N", default_value_t = 1)]
    pub version: u32,
    #[command(flatten)]
    pub output: Output,
}

fn cells(text: &str) -> Result<(TableName, WidthName), String> {
    let (table, numbers) = text.split_once('=').ok_or("it must be a table, = and its numbers")?;
    let known = || TableName::ALL.map(TableName::name).join(", ");
    let table = TableName::ALL.into_iter().find(|one| one.name() == table.trim());
    let table = table.ok_or_else(|| format!("the table must be one of {}", known()))?;
    Ok((table, WidthName::from_str(numbers.trim(), true)?))
}

fn address(text: &str) -> Result<u32, String> {
    let read = match text.strip_prefix("0x").or(text.strip_prefix("0X")) {
        Some(digits) => u32::from_str_radix(digits, 16),
        None => text.parse(),
    };
    read.map_err(|_| "it must be a whole number of 32 bits, decimal or hexadecimal with 0x".to_owned())
}

/// `washboard verify`
#[derive(Debug, Args)]
pub struct Verify {
    /// Folder of a handed-over set, one of its files, or a dump of a control unit's memory (Intel HEX or plain bytes)
    #[arg(value_name = "DIR|FILE")]
    pub dir: PathBuf,
    /// Session, or folder of another set, that it must be equal to
    #[arg(long, value_name = "SESSION|DIR")]
    pub against: Option<PathBuf>,
    /// Layout that an image or C files are read after; default the one in the set's folder
    #[arg(long, value_name = "FILE")]
    pub layout: Option<PathBuf>,
    /// Mode of the session by name that an image was made of, once each; default those of the set it names, or all
    #[arg(long = "mode", value_name = "NAME")]
    pub modes: Vec<String>,
    #[command(flatten)]
    pub output: Output,
}

/// The frequency weightings of ISO 2631-1, and Wb.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
#[allow(missing_docs)]
pub enum WeightingName {
    #[value(name = "Wk")]
    Wk,
    #[value(name = "Wd")]
    Wd,
    #[value(name = "Wc")]
    Wc,
    #[value(name = "We")]
    We,
    #[value(name = "Wf")]
    Wf,
    #[value(name = "Wb")]
    Wb,
}

impl WeightingName {
    /// The standard's symbol.
    pub fn name(self) -> &'static str {
        match self {
            WeightingName::Wk => "Wk",
            WeightingName::Wd => "Wd",
            WeightingName::Wc => "Wc",
            WeightingName::We => "We",
            WeightingName::Wf => "Wf",
            WeightingName::Wb => "Wb",
        }
    }
}

/// `washboard analyse`
#[derive(Debug, Args)]
pub struct Analyse {
    /// Record, CSV: time_s first, then channels with a unit in every header (seat_z_m_per_s2)
    #[arg(value_name = "LOG.csv")]
    pub log: PathBuf,
    /// Channel by its full name, once each; default all
    #[arg(long = "channel", value_name = "NAME")]
    pub channels: Vec<String>,
    /// Transfer functions from this channel to the others, with their coherence
    #[arg(long, value_name = "NAME")]
    pub from: Option<String>,
    /// Weighting of all accelerations; default Wd for x and y, We for rotations, Wk for the rest
    #[arg(long, value_enum)]
    pub weighting: Option<WeightingName>,
    /// JSON instead of tables
    #[arg(long)]
    pub json: bool,
    #[command(flatten)]
    pub output: Output,
}

/// `washboard road`
#[derive(Debug, Args)]
pub struct Road {
    /// Profile, CSV with the header distance_m,elevation_m or distance_m,left_m,right_m
    #[arg(value_name = "PROFILE.csv")]
    pub profile: PathBuf,
    /// JSON instead of tables
    #[arg(long)]
    pub json: bool,
    #[command(flatten)]
    pub output: Output,
}

/// `washboard check`
#[derive(Debug, Args)]
pub struct Check {
    /// Session file, .ron or .json
    pub session: PathBuf,
}

/// `washboard convert`
#[derive(Debug, Args)]
pub struct Convert {
    /// Session to read, .ron or .json
    pub from: PathBuf,
    /// File to write, .ron or .json
    pub to: PathBuf,
    /// Write everything, also where the session rests on another
    #[arg(long, conflicts_with = "rests_on")]
    pub whole: bool,
    /// Let the new file rest on this session, named from the new file's folder: only what deviates is written
    #[arg(long, value_name = "SESSION")]
    pub rests_on: Option<String>,
}

/// `washboard schema`
#[derive(Debug, Args)]
pub struct Schema {
    #[command(flatten)]
    pub output: Output,
}

/// What clap has to say in one line: the text of help and version stays whole, a fault becomes one sentence.
pub fn one_sentence(error: &clap::Error) -> String {
    let text = error.render().to_string();
    let mut words = Vec::new();
    for line in text.lines() {
        let line = line.trim();
        if line.starts_with("Usage:") || line.starts_with("For more information") {
            break;
        }
        if !line.is_empty() {
            words.push(line.trim_start_matches("error: ").trim_start_matches("tip: "));
        }
    }
    let mut sentence = words.join(" ");
    if sentence.is_empty() {
        sentence = "the command line could not be read".to_owned();
    }
    sentence + " (washboard --help shows every verb)"
}
