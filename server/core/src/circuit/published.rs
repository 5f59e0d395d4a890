//! The figures that the circuit stands on, each held by a test against its row in `tests/reference/standards.md`.
//! Status B: read in a stored public document that states the value and cites the rule (here MAT26, Annex B).

/// A figure with where it stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Figure {
    /// First column of its row.
    pub item: &'static str,
    /// Second column.
    pub quantity: &'static str,
    /// The value as the row words it.
    pub limit: &'static str,
    /// Status letter: A read in the rules, B in a document that cites them, C in a page, M from memory.
    pub status: char,
}

const fn b(item: &'static str, quantity: &'static str, limit: &'static str) -> Figure {
    Figure { item, quantity, limit, status: 'B' }
}

/// Foil: up to that much, in ohm, B to C counts as closed.
pub const FOIL_CLOSED_OHM: f64 = 200.0;
/// Foil: up to that much, in ohm, a break must register a valid hit.
pub const FOIL_VALID_OHM: f64 = 500.0;
/// Foil and épée: a path to guard or piste of up to that much, in ohm, must keep a hit from signalling.
pub const EARTH_OHM: f64 = 100.0;
/// Foil and sabre: below that much, in ohm, the yellow lamp is lit.
pub const YELLOW_BELOW_OHM: f64 = 450.0;
/// Épée: up to that much, in ohm, a contact still registers.
pub const EPEE_CLOSED_OHM: f64 = 100.0;
/// Sabre: up to that much, in ohm, a contact registers.
pub const SABRE_CLOSED_OHM: f64 = 100.0;
/// Sabre: a hit on a weapon that touches its owner's valid surface counts below that much, in ohm.
pub const SABRE_THROUGH_WEAPON_OHM: f64 = 250.0;
/// Sabre: above that much, in ohm, B to C counts as open.
pub const SABRE_CONTROL_OHM: f64 = 250.0;

/// Foil: breaks shorter than the first never register, longer than the second always; microseconds.
pub const FOIL_BREAK_US: (u32, u32) = (13_000, 15_000);
/// Épée: the same for contacts, at 10 ohm.
pub const EPEE_CONTACT_US: (u32, u32) = (2_000, 10_000);
/// Sabre: the same for contacts.
pub const SABRE_CONTACT_US: (u32, u32) = (100, 1_000);
/// Sabre: the same for white by an open control circuit.
pub const SABRE_CONTROL_US: (u32, u32) = (1_000, 5_000);
/// Foil: a second hit sooner than the first figure registers, later than the second does not; milliseconds.
pub const FOIL_WINDOW_MS: (u32, u32) = (275, 325);
/// Épée: the same.
pub const EPEE_WINDOW_MS: (u32, u32) = (40, 50);
/// Sabre: the same.
pub const SABRE_WINDOW_MS: (u32, u32) = (160, 180);
/// Sabre, through the blade: registers before the first figure, is blocked after the second; milliseconds.
pub const SABRE_WHIP_FREE_MS: (u32, u32) = (4, 5);
/// Sabre, through the blade: blocked before the first figure, registers after the second; milliseconds.
pub const SABRE_WHIP_AGAIN_MS: (u32, u32) = (15, 20);
/// Sabre, through the blade: interruptions of the blades' contact within the block.
pub const SABRE_WHIP_INTERRUPTIONS: u32 = 10;

/// The rows behind the figures above, in their order.
pub const FIGURES: &[Figure] = &[
    b("foil", "closed circuit must not give a non-valid signal", "up to 200"),
    b("foil", "exterior resistance with which a 13-15 ms break must register a valid hit", "0 to 500"),
    b("foil", "hits on guard or piste must not signal, with earth path", "up to 100"),
    b("epee", "guard or piste must not signal, with earth path", "up to 100"),
    b("foil", "yellow lamp (weapon touches own jacket): lit", "below 450"),
    b("epee", "exceptional outside resistance still registering", "100"),
    b("sabre", "outside resistance tolerated", "up to 100"),
    b("sabre", "yellow lamp (blade or guard on own conductive clothing)", "0 to 450"),
    b(
        "sabre",
        "hit on the faulty fencer's guard or blade counts as on target when path to his valid surface is",
        "less than 250",
    ),
    b("sabre", "control-circuit (B-C) break: white lamp", "more than 250 for 3, tolerance 2"),
    b("foil", "circuit break that must register", "14, tolerance 1 (13 to 15 guaranteed)"),
    b("epee", "contact that must not register", "less than 2"),
    b("epee", "contact that must register at 10 ohm", "2 to 10"),
    b("sabre", "contact that must register", "0.1 to 1"),
    b("foil", "window after the first signalled hit", "300, tolerance 25"),
    b("epee", "two contacts less than this apart: both lamps", "40"),
    b("epee", "two contacts more than this apart: first lamp only", "50"),
    b("sabre", "window after the first signalled hit", "170, tolerance 10"),
    b("sabre", "through-the-blade: registers in the first", "0 to 4 (+1)"),
    b("sabre", "through-the-blade: blocked between", "4 to 15 (+5)"),
    b("sabre", "interruptions of blade contact allowed within the block", "at most 10"),
];
