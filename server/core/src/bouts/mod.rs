//! When a fencer fences next: the orders of pools, the direct-elimination table and team relays, and from
//! them the expected start of a fencer's next bout and the moment by which an item must be back.
//!
//! Everything here is an estimate from three things that a strip knows: the order, the bout that is running,
//! and how long a bout takes. The running bout counts whole, as if it had just been called.

mod next;
mod place;
mod pool;
mod problem;
mod relay;
mod round;
mod tableau;

pub use next::{
    MARGIN_BEFORE_FIRST_CALL_MIN, MARGIN_MAX_MIN, MARGIN_MIN, REST_ELIMINATION_MIN, REST_POOL_MIN,
    pool_start, relay_start, wanted_by,
};
pub use place::BoutPlace;
pub use pool::{POOL_SIZES, PoolOrder, Standing, default_order, pool_order, pool_orders, variants};
pub use problem::BoutProblem;
pub use relay::{RELAYS, next_relay};
pub use round::Round;
pub use tableau::{TABLE_MAX, bout_of_slot, bouts_in, rounds, seed_at, seeds, slot_of_seed};
