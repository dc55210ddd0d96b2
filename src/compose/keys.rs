//! The strings that a wording must contain, each declared once: its dotted key, the placeholders
//! that the code fills, and whether its form depends on a count.
//!
//! A declared key that no code uses is an unused constant, which the compiler reports. A missing or
//! superfluous key in a wording is reported when the wording loads. Strings of findings and
//! limitations are declared in [`crate::vocabulary`].

use crate::assess::SettledHow;
use crate::visit::{
    ChargerConnection, InstrumentKind, LeftState, OvercurrentDevice, Rcd, Reason, RepairDone, Role,
    Surface, WhyNotRead, Wiring,
};
use crate::vocabulary::{Condition, Grade, Word};

/// One string of a wording.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Key {
    /// Dotted key.
    pub path: &'static str,
    /// Placeholders that the code fills.
    pub takes: &'static [&'static str],
    /// Placeholder whose count selects the plural form.
    pub count: Option<&'static str>,
}

macro_rules! keys {
    ($($name:ident = $path:literal $(($($takes:literal)+))? $(count $count:literal)?;)*) => {
        $(pub(super) const $name: Key = Key {
            path: $path,
            takes: &[$($($takes,)+)? $($count)?],
            count: keys!(@count $($count)?),
        };)*

        /// All of the above, listed again so that using the list does not count as using a
        /// constant.
        const SINGLE: &[Key] = &[$(Key {
            path: $path,
            takes: &[$($($takes,)+)? $($count)?],
            count: keys!(@count $($count)?),
        }),*];
    };
    (@count $count:literal) => { Some($count) };
    (@count) => { None };
}

const fn plain(path: &'static str) -> Key {
    Key {
        path,
        takes: &[],
        count: None,
    }
}

/// Names of the months.
pub(super) const MONTHS: [Key; 12] = [
    plain("month.january"),
    plain("month.february"),
    plain("month.march"),
    plain("month.april"),
    plain("month.may"),
    plain("month.june"),
    plain("month.july"),
    plain("month.august"),
    plain("month.september"),
    plain("month.october"),
    plain("month.november"),
    plain("month.december"),
];

/// Words of the visit file that are typed into a sheet in its own language.
pub(super) fn typed() -> impl Iterator<Item = &'static str> {
    let others = ["held", "moved", "before", "after", "yes", "no"];
    Condition::ALL
        .map(Condition::word)
        .into_iter()
        .chain(others)
        .chain(RepairDone::ALL.map(RepairDone::word))
        .chain(WhyNotRead::ALL.map(WhyNotRead::word))
        .chain(LeftState::ALL.map(LeftState::word))
}

/// Names of the languages of certificates.
const LANGUAGES: [Key; 4] = [
    plain("language.en"),
    plain("language.es"),
    plain("language.fr"),
    plain("language.de"),
];

/// Steps for a hot connection, in order, after what is never done.
pub(super) const HEAT_STEPS: [Key; 6] = [
    plain("heat-steps.never"),
    plain("heat-steps.dead"),
    plain("heat-steps.cold"),
    plain("heat-steps.torque"),
    plain("heat-steps.again"),
    plain("heat-steps.replace"),
];

/// Safety notes, in order.
pub(super) const SAFETY: [Key; 8] = [
    plain("safety.licensed"),
    plain("safety.dead"),
    plain("safety.live"),
    plain("safety.cold"),
    plain("safety.never"),
    plain("safety.after"),
    plain("safety.trouble"),
    plain("safety.code"),
];

keys! {
    // Numbers and dates
    NUMBER_UNDER = "number.under" ("number");
    NUMBER_OVER = "number.over" ("number");
    UNIT_A_YEAR = "number.a-year" ("unit");
    UNIT_AN_HOUR = "number.an-hour" ("unit");
    DATE_FIRST = "date.first";
    DATE_US = "date.us" ("day" "month" "year");
    DATE_SI = "date.si" ("day" "month" "year");
    YES = "word.yes";
    NO = "word.no";
    NOT_RECORDED = "word.not-recorded";
    PAIR = "word.pair" ("from" "to");
    NUMBERED_CONNECTION = "word.numbered-connection" ("number" "id");
    // The document
    DOCUMENT_TITLE = "document.title" ("number" "site");
    DOCUMENT_SUBJECT = "document.subject" ("circuits" "site" "date");
    RUNNING_LEFT = "document.running-left" ("number" "date");
    RUNNING_RIGHT = "document.running-right" ("page" "pages");
    DRAFT = "document.draft";
    LICENSE = "document.license" ("license");
    LOGO_ALT = "document.logo" ("firm");
    ATTACHED_VISIT = "attached.visit";
    ATTACHED_ASSESSMENT = "attached.assessment";
    ATTACHED_PHOTOS = "attached.photos";
    ATTACHED_TAKEN = "attached.taken";
    // Grades
    GRADE_NOT_COMPLETE = "grade.not-complete";
    // Result page
    RESULT_HEADING = "result.heading";
    RESULT_AGAIN = "result.again" ("language");
    RESULT_BY_WHEN = "result.by-when";
    RULES_OWN = "result.rules.own" ("title" "id" "edition");
    RULES_STRICTER = "result.rules.stricter" ("title" "id" "edition" "points");
    RULES_STRICTER_POINT = "result.rules.stricter-point" ("check" "where" "there" "here");
    RULES_INCOMPLETE = "result.rules.incomplete" ("title");
    RULES_SOONER = "result.rules.sooner" ("title" "date");
    RULES_NOT_STRICTER = "result.rules.not-stricter" ("title" "id" "edition");
    VERDICT_CLEAN_TITLE = "result.clean.title";
    VERDICT_CLEAN_TEXT = "result.clean.text" ("circuits") count "count";
    VERDICT_NOTES_TITLE = "result.notes.title";
    VERDICT_NOTES_TEXT = "result.notes.text" ("circuits") count "count";
    VERDICT_WATCH_TITLE = "result.watch.title";
    VERDICT_WATCH_TEXT = "result.watch.text" ("circuits") count "count";
    VERDICT_REPAIR_TITLE = "result.repair.title";
    VERDICT_REPAIR_TEXT = "result.repair.text" ("circuits") count "count";
    VERDICT_STOP_TITLE = "result.stop.title";
    VERDICT_STOP_TEXT = "result.stop.text" ("circuits") count "count";
    VERDICT_EXCEPT_TITLE = "result.except.title";
    VERDICT_EXCEPT_TEXT = "result.except.text" ("circuits") count "count";
    VERDICT_INCOMPLETE_TITLE = "result.incomplete.title";
    VERDICT_INCOMPLETE_TEXT = "result.incomplete.text" ("circuits") count "count";
    VERDICT_INCOMPLETE_NOTES_TITLE = "result.incomplete-notes.title";
    VERDICT_INCOMPLETE_NOTES_TEXT = "result.incomplete-notes.text" ("circuits") count "count";
    VERDICT_ALSO_INCOMPLETE = "result.also-incomplete";
    TO_DO_HEADING = "result.to-do.heading";
    TO_DO_NOTHING = "result.to-do.nothing";
    TO_DO_FINISH = "result.to-do.finish";
    TO_DO_FINISH_AND_LOOK = "result.to-do.finish-and-look" ("circuits") count "count";
    TO_DO_STOP = "result.to-do.stop" ("circuits") count "count";
    TO_DO_REPAIR = "result.to-do.repair" ("circuits") count "count";
    TO_DO_WATCH = "result.to-do.watch" ("circuits") count "count";
    TO_DO_NOTE = "result.to-do.note" ("circuits") count "count";
    TO_DO_GRADE_IN_CIRCUIT = "result.to-do.grade-in-circuit" ("grade" "circuit");
    TO_DO_COMBINED = "result.to-do.combined";
    TO_DO_JUDGED = "result.to-do.judged" ("rules-grade" "because");
    TO_DO_MORE = "result.to-do.more" count "count";
    NOT_DONE_HEADING = "result.not-done.heading";
    BASELINE_HEADING = "baseline.heading";
    BASELINE_TEXT = "baseline.text";
    BASELINE_CAPTION = "baseline.caption";
    BASELINE_SPOT = "baseline.spot";
    BASELINE_DISTANCE = "baseline.distance";
    MENDED_HEADING = "mended.heading";
    MENDED_VERDICT = "mended.verdict" count "count";
    MENDED_UNPROVED = "mended.unproved" count "count";
    MENDED_AS_FOUND = "mended.as-found" ("text");
    MENDED_RE_TORQUED = "mended.re-torqued" ("connection" "time");
    MENDED_REMADE = "mended.remade" ("connection" "time");
    MENDED_PART_REPLACED = "mended.part-replaced" ("connection" "part" "time");
    MENDED_COOLED = "mended.cooled" ("temperature");
    MENDED_RISES = "mended.rises" ("connection" "before" "after");
    MENDED_NOT_PROVED = "mended.not-proved";
    SINCE_HEADING = "since.heading";
    SINCE_FOUND = "since.found" ("date" "number" "text");
    SINCE_MENDED = "since.mended";
    SINCE_OPEN = "since.open";
    SINCE_REMAINS = "since.remains";
    NOT_DONE_MORE = "result.not-done.more" count "count";
    NOT_DONE_UNTRACED = "result.not-done.untraced" ("instruments");
    DUE_FIRST = "due.first" ("date");
    DUE_CLEAN = "due.clean" ("date");
    DUE_WATCH = "due.watch" ("date");
    DUE_REPAIR = "due.repair" ("date");
    DUE_INCOMPLETE = "due.incomplete" ("date");
    DUE_TREND = "due.trend" ("date");
    DUE_BEFORE_USE = "due.before-use";
    DUE_MEASURED_BEFORE_USE = "due.measured-before-use";
    CIRCUITS_CAPTION = "circuits.caption";
    CIRCUITS_IN_ORDER = "circuits.in-order";
    CIRCUITS_INCOMPLETE = "circuits.incomplete";
    SEAL_SIGNED_BY = "seal.signed-by" ("name");
    SEAL_TIME = "seal.time" ("time");
    SEAL_FINGERPRINT = "seal.fingerprint" ("fingerprint");
    SEAL_CHECK = "seal.check" ("line");
    SEAL_CODE_ALT = "seal.code-alt";
    SEAL_ALT = "seal.alt" ("lines");
    SEAL_UNSIGNED = "seal.unsigned";
    // Names of facts
    FACT_CERTIFICATE = "fact.certificate";
    FACT_DATE = "fact.date";
    FACT_DATE_AND_REASON = "fact.date-and-reason" ("date" "reason");
    FACT_REPLACES = "fact.replaces";
    FACT_REPLACES_AND_DIGEST = "fact.replaces-and-digest" ("number" "digest");
    FACT_SITE = "fact.site";
    FACT_CIRCUIT = "fact.circuit";
    FACT_CLIENT = "fact.client";
    FACT_CLIENT_AND_ROLE = "fact.client-and-role" ("name" "role");
    FACT_CLIENT_ADDRESS = "fact.client-address";
    FACT_INSPECTOR = "fact.inspector";
    FACT_BORDERLINE = "fact.borderline";
    FACT_ACTION = "fact.action";
    FACT_JUDGEMENT = "fact.judgement";
    FACT_NOTE = "fact.note";
    FACT_EARLIER = "fact.earlier";
    FACT_TREND = "fact.trend";
    FACT_FALLBACK = "fact.fallback";
    FACT_TESTER = "fact.tester";
    FACT_PROVED_BEFORE = "fact.proved-before";
    FACT_DEAD = "fact.dead";
    FACT_WHEN = "fact.when";
    FACT_PROVED_AFTER = "fact.proved-after";
    FACT_LOCKED = "fact.locked";
    FACT_CHARGER = "fact.charger";
    FACT_CHARGER_SERIAL = "fact.charger-serial";
    FACT_CURRENT_SETTING = "fact.current-setting";
    FACT_LOAD_MANAGEMENT = "fact.load-management";
    FACT_SUPPLY = "fact.supply";
    FACT_BREAKER = "fact.breaker";
    FACT_GROUND_FAULT = "fact.ground-fault";
    FACT_RCD = "fact.rcd";
    FACT_EARTHING = "fact.earthing";
    FACT_EARTH_ELECTRODE = "fact.earth-electrode";
    FACT_CONDUCTORS = "fact.conductors";
    FACT_FEEDER = "fact.feeder";
    FACT_RECEPTACLE = "fact.receptacle";
    FACT_HOTTEST_AIR = "fact.hottest-air";
    // Heads of columns
    COLUMN_CIRCUIT = "column.circuit";
    COLUMN_RESULT = "column.result";
    COLUMN_WHY = "column.why";
    COLUMN_NEXT = "column.next";
    COLUMN_CHECKED = "column.checked";
    COLUMN_WHERE = "column.where";
    COLUMN_FOUND = "column.found";
    COLUMN_NUMBER = "column.number";
    COLUMN_CONNECTION = "column.connection";
    COLUMN_TIME = "column.time";
    COLUMN_CHARGING = "column.charging";
    COLUMN_CURRENT = "column.current";
    COLUMN_VOLTAGE = "column.voltage";
    COLUMN_AIR = "column.air";
    COLUMN_READINGS = "column.readings";
    COLUMN_SHOWN = "column.shown";
    COLUMN_SURFACE = "column.surface";
    COLUMN_RISE = "column.rise";
    COLUMN_UNCERTAINTY = "column.uncertainty";
    COLUMN_RISE_LIMIT = "column.rise-limit";
    COLUMN_SETTLED = "column.settled";
    COLUMN_AT_RATED = "column.at-rated";
    COLUMN_SHOWS_FROM = "column.shows-from";
    COLUMN_PROJECTED = "column.projected";
    COLUMN_RATING = "column.rating";
    COLUMN_MARGIN = "column.margin";
    COLUMN_WANTED = "column.wanted";
    COLUMN_LEFT = "column.left";
    COLUMN_TOOL = "column.tool";
    COLUMN_PLACE = "column.place";
    COLUMN_CHECK = "column.check";
    COLUMN_LIMIT = "column.limit";
    COLUMN_BANDS = "column.bands";
    COLUMN_THRESHOLD = "column.threshold";
    COLUMN_WAS = "column.was";
    COLUMN_IS = "column.is";
    COLUMN_INSTRUMENT = "column.instrument";
    COLUMN_MODEL = "column.model";
    COLUMN_SERIAL = "column.serial";
    COLUMN_CALIBRATED = "column.calibrated";
    COLUMN_DUE = "column.due";
    COLUMN_ACCURACY = "column.accuracy";
    COLUMN_SETTINGS = "column.settings";
    // Findings
    WHERE_PLACE_IN_CIRCUIT = "findings.place-in-circuit" ("place" "circuit");
    WHERE_VISIT = "findings.whole-visit";
    FINDINGS_HEADING = "findings.heading";
    FINDINGS_NONE = "findings.none";
    CHARGING_QUESTION = "charging.question";
    CHARGING_AS_USUAL = "charging.as-usual";
    CHARGING_AS_USUAL_INCOMPLETE = "charging.as-usual-incomplete";
    CHARGING_LIMITED = "charging.limited" ("current");
    CHARGING_NOT_PROVED = "charging.not-proved";
    CHARGING_NOT_AT_ALL = "charging.not-at-all";
    CHARGING_ROW_AS_USUAL = "charging.circuits.as-usual";
    CHARGING_ROW_INCOMPLETE = "charging.circuits.as-usual-incomplete";
    CHARGING_ROW_LIMITED = "charging.circuits.limited" ("current");
    CHARGING_ROW_NOT_AT_ALL = "charging.circuits.not-at-all";
    LEFT_QUESTION = "charging.left.question";
    LEFT_IN_USE = "charging.left.in-use";
    LEFT_LIMITED = "charging.left.limited" ("current");
    LEFT_OFF = "charging.left.off";
    LEFT_OFF_WITH_KEY = "charging.left.off-with-key" ("key");
    LEFT_SWITCH_ON = "charging.left.switch-on";
    LEFT_NOT_RECORDED = "charging.left.not-recorded";
    LEFT_IN_USE_FORBIDDEN = "charging.left.in-use-forbidden";
    LEFT_NOT_LIMITED = "charging.left.not-limited" ("current");
    CHARGING_BEFORE_USE = "charging.before-use";
    CHARGING_BY = "charging.by" ("date");
    FACT_DEADLINE = "charging.deadline";
    FACT_GRADE = "charging.grade";
    SHOWN_AT = "charging.shown-at" ("place" "shown");
    FACT_COMBINED = "charging.combined" ("source");
    COLUMN_SHOWN_BY = "charging.shown-by";
    EXTRACT_NOTE = "extract.note" ("number" "time" "digest");
    EXTRACT_TITLE = "extract.title" ("title");
    EXTRACT_ATTACHED = "extract.attached";
    // The label
    LABEL_TITLE = "label.title" ("number");
    LABEL_NOTE = "label.note" ("number" "time" "firm");
    // The index
    INDEX_HEADING = "index.heading";
    INDEX_NOTE = "index.note";
    INDEX_CERTIFICATES = "index.certificates";
    INDEX_VISITS = "index.visits";
    INDEX_LEFT_OUT = "index.left-out" count "count";
    INDEX_CAPTION = "index.caption";
    INDEX_FILE = "index.file" ("file" "digest");
    INDEX_SUPERSEDED = "index.superseded" ("number");
    INDEX_RUNNING = "index.running" ("date");
    INDEX_TABLE = "index.table";
    INDEX_ABOUT = "index.about";
    EVIDENCE_MARGIN = "findings.evidence-margin" ("numbers");
    RATIO = "findings.ratio" ("value");
    EVIDENCE_MORE = "findings.evidence-more";
    ACTION_AS = "findings.action-as" ("number");
    FINDINGS_CAPTION = "findings.caption";
    VALUE_AND_WANTED = "findings.value-and-wanted" ("value" "limit");
    EARLIER = "findings.earlier" ("then" "date" "number" "now");
    TREND_SLOPE = "findings.trend.slope" ("slope");
    TREND_REACHES = "findings.trend.reaches" ("slope" "grade" "date");
    TREND_EARLIEST = "findings.trend.earliest" ("date");
    VALUE_AND_LIMIT = "findings.value-and-limit" ("value" "limit");
    BORDERLINE = "findings.borderline" ("check");
    BORDERLINE_NEXT = "findings.borderline-next" ("check" "limit" "probability");
    BORDERLINE_WITH_PROBABILITY = "findings.borderline-with-probability" ("check" "probability");
    JUDGEMENT = "findings.judgement" ("grade" "because" "rules-grade");
    FINDING_JUDGED_ACTION = "findings.judged-action";
    FINDING_GENERAL_TEXT = "findings.general.text" ("where" "id");
    FINDING_GENERAL_LIMIT = "findings.general.limit" ("where" "id" "value" "limit");
    FINDING_GENERAL_WATCH = "findings.general.watch";
    FINDING_GENERAL_REPAIR = "findings.general.repair";
    FINDING_GENERAL_STOP = "findings.general.stop";
    IN_ORDER_HEADING = "findings.in-order.heading";
    IN_ORDER_CAPTION = "findings.in-order.caption";
    WITHIN_UNCERTAINTY = "findings.in-order.within-uncertainty" ("numbers");
    IN_ORDER_LIMIT = "findings.in-order.limit" ("limit");
    IN_ORDER_PLACES = "findings.in-order.places" ("count");
    HEAT_STEPS_HEADING = "heat-steps.heading";
    HEAT_STEPS_IN_FULL = "heat-steps.in-full";
    HEAT_STEPS_REFERRED = "heat-steps.referred";
    // Heat record
    HEAT_HEADING = "heat.heading";
    HEAT_NOT_MEASURED = "heat.not-measured";
    HEAT_WITH = "heat.with" ("instrument" "current" "least-load");
    HEAT_CHARGING_FROM = "heat.charging-from" ("time");
    HEAT_DECIDED = "heat.decided" ("time");
    HEAT_INSULATION = "heat.insulation" ("share");
    HEAT_CLOCK = "heat.clock" ("zone");
    DIAGRAM_TITLE = "diagram.title" ("circuit");
    DIAGRAM_SUPPLY = "diagram.supply";
    DIAGRAM_CHARGER = "diagram.charger";
    DIAGRAM_ALT = "diagram.alt" ("supply" "places");
    DIAGRAM_ALT_PLACE = "diagram.alt-place" ("place" "connections");
    STRIP_TITLE = "strip.title" ("circuit");
    STRIP_AXIS = "strip.axis" ("unit");
    STRIP_ALT = "strip.alt" ("connection" "projected" "limit" "margin");
    CHART_OFF_SCALE = "chart.off-scale";
    CHART_TITLE = "chart.title" ("place");
    CHART_PART = "chart.part" ("title" "part" "parts");
    CHART_X = "chart.x";
    CHART_X_UNCHARGED = "chart.x-uncharged";
    CHART_Y = "chart.y" ("unit");
    CHART_AIR = "chart.air";
    CHART_LIMIT = "chart.limit" ("limit");
    CHART_ALT_ONE = "chart.alt.one" ("connection" "temperature");
    CHART_ALT_LINE = "chart.alt.line" ("connection" "from" "to" "time");
    CHART_ALT_SETTLES = "chart.alt.settles" ("temperature");
    CHART_ALT_AIR = "chart.alt.air" ("low" "high");
    CHART_ALT_AIR_STEADY = "chart.alt.air-steady" ("temperature");
    CHART_ALT_LIMIT = "chart.alt.limit" ("limit");
    HISTORY_TITLE = "history.title" ("place");
    HISTORY_X = "history.x";
    HISTORY_Y = "history.y" ("unit");
    HISTORY_LABEL = "history.label" ("connection" "slope");
    HISTORY_ALT = "history.alt.line" ("connection" "from" "first" "to" "last");
    HISTORY_ALT_SLOPE = "history.alt.slope" ("slope");
    HISTORY_ALT_STEADY = "history.alt.steady" ("slope");
    ROUNDS_CAPTION = "heat.rounds" ("circuit");
    READINGS_CAPTION = "heat.readings" ("circuit");
    RESULTS_CAPTION = "heat.results" ("circuit");
    RESULTS_EXPLAINED = "heat.results-explained";
    SETTLED_WITH_TIME_CONSTANT = "heat.settled.with-time-constant" ("how" "time");
    // Work with the power off
    WORK_HEADING = "work.heading";
    ISOLATION_NOT_TOLD = "work.isolation-not-told";
    TORQUE_NOT_TOLD = "work.torque-not-told";
    WORK_BEFORE = "work.before";
    WORK_AFTER = "work.after";
    WORK_BEFORE_AND_AFTER = "work.before-and-after";
    WORK_CAPTION = "work.caption";
    WORK_CAPTION_WITH = "work.caption-with" ("tool");
    TORQUE_HELD = "work.held";
    TORQUE_MOVED = "work.moved";
    TORQUE_MOVED_AT = "work.moved-at" ("torque");
    TORQUE_FALLBACK = "work.fallback" ("connection" "source");
    CONDITION_NOT_TOLD = "work.condition-not-told";
    // Circuit
    CIRCUIT_HEADING = "circuit.heading";
    CIRCUIT_IDENTITY = "circuit.identity" ("circuit" "charger");
    CHARGER_NAMED = "circuit.charger.named" ("make" "current");
    CHARGER_UNNAMED = "circuit.charger.unnamed" ("current");
    SUPPLY_SINGLE_PHASE = "circuit.supply.single-phase" ("voltage" "legs");
    SUPPLY_THREE_PHASE = "circuit.supply.three-phase" ("voltage" "legs");
    BREAKER_POLES = "circuit.breaker.poles" count "count";
    BREAKER_TERMINALS = "circuit.breaker.terminals" ("temperature");
    BREAKER_FULL_RATED = "circuit.breaker.full-rated";
    GROUND_FAULT_NONE = "circuit.ground-fault.none";
    GROUND_FAULT_GFCI = "circuit.ground-fault.gfci";
    GROUND_FAULT_GFPE = "circuit.ground-fault.gfpe";
    RCD_DC_DETECTION = "circuit.rcd.dc-detection";
    RCD_NO_DC_DETECTION = "circuit.rcd.no-dc-detection";
    RCD_TRIPPED = "circuit.rcd.tripped" ("time");
    RUN = "circuit.run.plain" ("size" "material");
    RUN_WITH_LENGTH = "circuit.run.with-length" ("size" "material" "length");
    CONDUCTORS_INSULATION = "circuit.insulation" ("temperature");
    CONDUCTORS_CARRYING = "circuit.carrying" count "count";
    CONDUCTORS_METHOD = "circuit.method" ("method");
    CONDUCTORS_TOGETHER = "circuit.together" count "count";
    MATERIAL_COPPER = "circuit.material.copper";
    MATERIAL_ALUMINIUM = "circuit.material.aluminium";
    MATERIAL_COPPER_CLAD = "circuit.material.copper-clad";
    RECEPTACLE_RESIDENTIAL = "circuit.receptacle.residential";
    RECEPTACLE_INDUSTRIAL = "circuit.receptacle.industrial";
    RECEPTACLE_EV = "circuit.receptacle.ev";
    CHECKS_CAPTION = "circuit.checks" ("circuit");
    CHECKS_FROM_MEMORY = "circuit.from-memory";
    COMMON_PRACTICE = "circuit.common-practice";
    SOURCE_FROM_MEMORY = "circuit.source-from-memory" ("source");
    CHECK_HOLDS = "circuit.check.holds";
    CHECK_HOLDS_UNCONFIRMED = "circuit.check.holds-unconfirmed";
    CHECK_FAILS = "circuit.check.fails";
    CHECK_UNKNOWN = "circuit.check.unknown";
    CHECK_INFORMS = "circuit.check.informs";
    // Photos
    PHOTOS_HEADING = "photos.heading";
    APPENDIX_HEADING = "appendix.heading";
    PHOTO_TAKEN = "photos.taken" ("time");
    PHOTO_TAKEN_WITH = "photos.taken-with" ("time" "camera");
    PHOTO_WITH = "photos.with" ("camera");
    PHOTO_OTHER_DAY = "photos.other-day";
    PHOTO_ALT = "photos.alt" ("caption");
    PHOTO_ALT_MARKED = "photos.alt-marked" ("caption" "marks");
    // Method
    SOURCES_HEADING = "sources.heading";
    COUNTERSIGN_HEADING = "countersign.heading";
    COUNTERSIGN_TEXT = "countersign.text";
    COUNTERSIGN_CLIENT = "countersign.client";
    COUNTERSIGN_LANDLORD = "countersign.landlord";
    COUNTERSIGN_REVIEWER = "countersign.reviewer";
    COUNTERSIGN_ALT = "countersign.alt" ("who");
    METHOD_HEADING = "method.heading";
    METHOD_RULES = "method.rules" ("title" "id" "edition");
    METHOD_NATIONAL = "method.national" ("rules");
    METHOD_TEMPERATURE = "method.temperature";
    METHOD_UNCERTAINTY = "method.uncertainty" ("factor");
    METHOD_SETTLED = "method.settled";
    METHOD_RATED = "method.rated" ("low" "high" "least-load");
    METHOD_PROJECTED = "method.projected";
    METHOD_GRADES = "method.grades";
    LIMITS_CAPTION = "method.limits";
    LIMITS_MARGIN = "method.margin";
    BAND_BETWEEN = "method.band.between";
    BAND_FROM = "method.band.from" ("edge" "grade");
    BAND_OVER = "method.band.over" ("edge" "grade");
    BAND_UP_TO = "method.band.up-to" ("edge" "grade");
    BAND_UNDER = "method.band.under" ("edge" "grade");
    CHANGES_CAPTION = "method.changes" ("extends");
    REMARKS = "method.remarks";
    INSTRUMENTS_CAPTION = "method.instruments";
    INSTRUMENT_WITH_SERIAL = "method.instrument-with-serial" ("kind" "serial");
    INSTRUMENT_EMISSIVITY = "method.emissivity" ("value");
    INSTRUMENT_SPOT = "method.spot" ("ratio");
    REPEATABILITY = "method.repeatability" ("value");
    ACCURACY_BOTH = "method.accuracy.both" ("share" "fixed");
    ACCURACY_SHARE = "method.accuracy.share" ("share");
    ACCURACY_FIXED = "method.accuracy.fixed" ("fixed");
    // Limitations
    LIMITATIONS_HEADING = "limitations.heading";
    LIMITATIONS_LISTED = "limitations.listed";
    LIMITATIONS_NONE = "limitations.none";
    LIMITATIONS_ALWAYS = "limitations.always";
    LIMITATION_GENERAL = "limitations.general" ("id");
    // Safety and verifying
    SAFETY_HEADING = "safety.heading";
    SAFETY_SIGNAL = "safety.signal";
    VERIFY_HEADING = "verify.heading";
    VERIFY_DRAFT = "verify.draft";
    VERIFY_READER = "verify.reader";
    VERIFY_COMMAND = "verify.command";
    VERIFY_FINGERPRINT = "verify.fingerprint" ("fingerprint");
    VERIFY_RECORD = "verify.record";
    VERIFY_PAPER = "verify.paper";
    VERIFY_SELF_SIGNED = "verify.self-signed";
    VERIFY_BACK = "verify.back";
    // Reasons of the signatures after the seal
    RECEIVED = "countersign.received";
    REVIEWED = "countersign.reviewed";
    // Findings in the terminal
    CHECK_LIMIT = "check.limit" ("limit");
    CHECK_OWN = "check.own" ("name");
    CHECK_NOT_DONE = "check.not-done";
    // Repair order
    ORDER_HEADING = "order.heading";
    ORDER_TITLE = "order.title" ("number" "site");
    ORDER_RUNNING = "order.running" ("number");
    ORDER_UNSIGNED = "order.unsigned" ("number" "date");
    ORDER_UNCOMPARED = "order.uncompared";
    ORDER_DIGEST = "order.digest";
    ORDER_OFF = "order.off";
    ORDER_LIMITED = "order.limited";
    ORDER_IN_USE = "order.in-use";
    ORDER_NOTHING = "order.nothing";
    ORDER_JOBS = "order.jobs";
    ORDER_JOB = "order.job" ("number" "name" "where");
    ORDER_LATER = "order.later";
    ORDER_PART = "order.part";
    ORDER_POINTS = "order.points" ("number");
    ORDER_DONE = "order.done";
    ORDER_TORQUE_NOW = "order.torque-now";
    ORDER_TORQUE_UNKNOWN = "order.torque-unknown";
    ORDER_NOT_IN_FILE = "order.not-in-file" ("why");
    ORDER_UNPROVED = "order.unproved";
    ORDER_AFTER = "order.after";
    ORDER_AFTER_CHECKS = "order.after-checks";
    ORDER_MEASURE = "order.measure" ("connections");
    ORDER_STAY_OFF = "order.stay-off";
    ORDER_RECORD = "order.record";
    // Letters
    LETTER_TITLE = "letter.title";
    LETTER_SUBJECT = "letter.subject" ("sites");
    LETTER_RUNNING = "letter.running" ("date");
    LETTER_INTRODUCTION = "letter.introduction" count "count";
    LETTER_DUE = "letter.due" ("date");
    LETTER_OVERDUE = "letter.overdue" ("date");
    LETTER_OFF = "letter.off";
    LETTER_UNFINISHED = "letter.unfinished" ("date");
    LETTER_UNFINISHED_OPEN = "letter.unfinished-open";
    LETTER_ABOUT = "letter.about" ("circuit" "site");
    LETTER_LAST = "letter.last";
    LETTER_LAST_OF = "letter.last-of" ("date" "number");
    LETTER_WHY = "letter.why";
    LETTER_LEFT = "letter.left";
    LETTER_NOT_SETTLED = "letter.not-settled" ("connections");
    LETTER_REASON_FIRST = "letter.reason.first";
    LETTER_REASON_CLEAN = "letter.reason.clean";
    LETTER_REASON_WATCH = "letter.reason.watch";
    LETTER_REASON_REPAIR = "letter.reason.repair";
    LETTER_REASON_INCOMPLETE = "letter.reason.incomplete";
    LETTER_REASON_TREND = "letter.reason.trend";
    LETTER_REASON_OFF = "letter.reason.off";
    LETTER_REASON_CUT_SHORT = "letter.reason.cut-short" ("date" "why");
    LETTER_PREPARE = "letter.prepare";
    LETTER_CAR = "letter.car" ("circuit" "current");
    LETTER_CAR_AFTER = "letter.car-after" ("circuit" "current");
    LETTER_ACCESS = "letter.access";
    LETTER_POWER = "letter.power";
    LETTER_HANDS_OFF = "letter.hands-off";
    LETTER_TROUBLE = "letter.trouble";
    LETTER_APPOINTMENT = "letter.appointment" ("contact");
    LETTER_APPOINTMENT_OPEN = "letter.appointment-open";
    // Worksheet
    SHEET_TITLE = "worksheet.title" ("number" "site");
    SHEET_HEADING = "worksheet.heading";
    SHEET_RUNNING = "worksheet.running" ("number");
    SHEET_INTRODUCTION = "worksheet.introduction";
    SHEET_LOOK_FIRST = "worksheet.look-first" ("number" "date");
    SHEET_INSPECTOR_SAID = "worksheet.inspector-said" ("because");
    SHEET_STEP = "worksheet.step";
    SHEET_FOUND = "worksheet.found";
    SHEET_ISOLATION = "worksheet.isolation.heading" ("number");
    SHEET_ISOLATION_TEXT = "worksheet.isolation.text";
    SHEET_ISOLATION_CAPTION = "worksheet.isolation.caption" ("circuit");
    SHEET_BEFORE = "worksheet.isolation.before";
    SHEET_BETWEEN = "worksheet.isolation.between" ("pair");
    SHEET_AFTER = "worksheet.isolation.after";
    SHEET_LOCKED = "worksheet.isolation.locked";
    SHEET_VOLTAGE_HINT = "worksheet.isolation.voltage-hint";
    SHEET_DEAD_HINT = "worksheet.isolation.dead-hint";
    SHEET_YES_HINT = "worksheet.isolation.yes-hint" ("yes");
    SHEET_CONDITION = "worksheet.condition.heading" ("number");
    SHEET_CONDITION_CAPTION = "worksheet.condition.caption" ("circuit");
    SHEET_SEEN = "worksheet.condition.seen";
    SHEET_SEEN_STOP = "worksheet.condition.stop-hint" ("discoloured" "melted");
    SHEET_NOTE = "worksheet.condition.note";
    SHEET_TORQUE = "worksheet.torque.heading" ("number");
    SHEET_TORQUE_TEXT = "worksheet.torque.text";
    SHEET_TORQUE_AGAIN = "worksheet.torque.again";
    SHEET_TORQUE_CAPTION = "worksheet.torque.caption" ("circuit");
    SHEET_WANTED = "worksheet.torque.wanted" ("torque");
    SHEET_WANTED_UNKNOWN = "worksheet.torque.wanted-unknown";
    SHEET_FOUND_UNIT = "worksheet.torque.found-unit" ("held" "moved" "unit");
    SHEET_LEFT = "worksheet.torque.left";
    SHEET_HEAT = "worksheet.heat.heading" ("number");
    SHEET_HEAT_TEXT = "worksheet.heat.text";
    SHEET_HEAT_STOP = "worksheet.heat.stop";
    SHEET_ROUNDS_CAPTION = "worksheet.heat.rounds" ("circuit");
    SHEET_ROUND = "worksheet.heat.round";
    SHEET_ROUND_NONE = "worksheet.heat.no-load";
    SHEET_ROUND_QUARTER = "worksheet.heat.quarter";
    SHEET_ROUND_HOUR = "worksheet.heat.hour";
    SHEET_SHORT_NONE = "worksheet.heat.short-no-load";
    SHEET_SHORT_QUARTER = "worksheet.heat.short-quarter";
    SHEET_SHORT_HOUR = "worksheet.heat.short-hour";
    SHEET_BEGAN = "worksheet.heat.began";
    SHEET_CLOCK_HINT = "worksheet.heat.clock-hint";
    SHEET_READINGS_CAPTION = "worksheet.heat.readings" ("circuit");
    SHEET_LAST = "worksheet.heat.last" ("temperature");
    SHEET_LIMIT = "worksheet.heat.limit" ("limit");
    SHEET_WHEN = "worksheet.torque.when";
    SHEET_WHEN_HINT = "worksheet.torque.when-hint" ("before" "after");
    SHEET_NOT_READ = "worksheet.not-read.caption" ("circuit");
    SHEET_NOT_READ_TEXT = "worksheet.not-read.text";
    SHEET_WHY = "worksheet.not-read.why";
    SHEET_AGAIN = "worksheet.again.heading" ("number");
    SHEET_AGAIN_TEXT = "worksheet.again.text";
    SHEET_AGAIN_CAPTION = "worksheet.again.caption" ("circuit");
    SHEET_LAST_CAPTION = "worksheet.again.last" ("circuit");
    SHEET_REPAIR = "worksheet.repair.heading" ("number");
    SHEET_REPAIR_TEXT = "worksheet.repair.text";
    SHEET_REPAIR_MEASURE = "worksheet.repair.measure";
    SHEET_REPAIR_CAPTION = "worksheet.repair.caption" ("number" "circuit");
    SHEET_REPAIR_DONE = "worksheet.repair.done";
    SHEET_REPAIR_PART = "worksheet.repair.part";
    SHEET_REPAIR_PART_HINT = "worksheet.repair.part-hint" ("replaced");
    SHEET_REPAIR_AT = "worksheet.repair.at";
    SHEET_REPAIR_COOLED = "worksheet.repair.cooled";
    SHEET_REPAIR_WITH = "worksheet.repair.with";
    SHEET_ROUNDS_AFTER = "worksheet.repair.rounds" ("circuit");
    SHEET_READINGS_AFTER = "worksheet.repair.readings" ("circuit");
    SHEET_LEFT_AS = "worksheet.left-as.caption" ("circuit");
    SHEET_LEFT_STATE = "worksheet.left-as.state";
    SHEET_LEFT_CURRENT = "worksheet.left-as.current";
    SHEET_LEFT_CURRENT_HINT = "worksheet.left-as.current-hint" ("limited");
    SHEET_LEFT_KEY = "worksheet.left-as.key";
    SHEET_LEFT_KEY_HINT = "worksheet.left-as.key-hint" ("locked");
    SHEET_CLOSE = "worksheet.close.heading" ("number");
    SHEET_CLOSE_TEXT = "worksheet.close.text";
    // The worksheet as a page for a phone; its script fills the places
    PAGE_PHOTOS = "page.photos";
    PAGE_TAKE = "page.take";
    PAGE_PHOTO = "page.photo" ("number");
    PAGE_SHOWS = "page.shows";
    PAGE_DELETE = "page.delete";
    PAGE_SAVE = "page.save";
    PAGE_NOW = "page.now";
    PAGE_RISE = "page.rise" ("rise");
    PAGE_MARGIN = "page.margin" ("margin");
    PAGE_NEXT = "page.next" ("minutes");
    PAGE_DUE = "page.due";
    PAGE_STOP = "page.stop";
    PAGE_GRADED = "page.graded" ("grade" "text");
}

/// A choice with a name in every wording.
pub(super) trait Named: Word {
    /// Section of the wording with the names, each under the word of the choice.
    const SECTION: &'static str;
}

macro_rules! named {
    ($($choice:ty = $section:literal;)*) => {
        $(impl Named for $choice {
            const SECTION: &'static str = $section;
        })*

        /// Dotted keys of the names of all choices.
        pub(super) fn names() -> Vec<String> {
            fn of<N: Named>() -> impl Iterator<Item = String> {
                N::choices().map(|(word, _)| format!("{}.{word}", N::SECTION))
            }
            let mut all = Vec::new();
            $(all.extend(of::<$choice>());)*
            all
        }
    };
}

named! {
    ChargerConnection = "circuit.charger";
    Condition = "condition";
    Grade = "grade";
    InstrumentKind = "instrument";
    OvercurrentDevice = "circuit.breaker";
    Rcd = "circuit.rcd";
    Reason = "reason";
    Role = "role";
    SettledHow = "heat.settled";
    Surface = "surface";
    Wiring = "circuit.wiring";
}

/// Every declared key.
pub(super) fn all() -> impl Iterator<Item = &'static Key> {
    SINGLE
        .iter()
        .chain(&MONTHS)
        .chain(&LANGUAGES)
        .chain(&HEAT_STEPS)
        .chain(&SAFETY)
}
