//! What a running server is made of, as its parts see each other.

use crate::clock::Clock;
use crate::desk::DeskHandle;
use crate::planner::PlannerHandle;

/// The desk, the planner and the clock of one server. Cheap to copy.
#[derive(Clone)]
pub struct House {
    /// The one owner of the armoury.
    pub desk: DeskHandle,
    /// Who plans the lanes.
    pub planner: PlannerHandle,
    /// The server's time.
    pub clock: Clock,
}
