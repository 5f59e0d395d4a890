//! Watches: streams of our own types that open themselves again after an outage and go on where they were.

use std::future::Future;
use std::pin::Pin;
use std::task::{Context, Poll};
use std::time::Duration;

use remise_core::armoury::Spot;
use remise_core::ids::{BenchId, Seq};
use remise_core::time::Stamp;
use remise_proto::v1;
use tokio::sync::mpsc;
use tokio::task::JoinHandle;
use tonic::{Response, Status, Streaming};

use crate::connect::Link;
use crate::decode::{self, Read};
use crate::encode::spot;
use crate::error::LinkError;
use crate::retry::Failed;
use crate::view::{Board, EventBatch, Plan};

/// How much a reader may lag behind before the stream waits for it.
const AHEAD: usize = 64;

/// What a watch tells.
#[derive(Clone, Debug, PartialEq)]
pub enum WatchEvent<T> {
    /// Something new. For boards: a full one, or a change for [`Board::apply`].
    News(T),
    /// The server is away; the watch goes on trying.
    Away {
        /// Since when, by the client's clock.
        since: Stamp,
        /// Why, in a sentence.
        reason: String,
    },
    /// The server is back; news follow.
    Back,
    /// The watch has ended and will not try again.
    Over(LinkError),
}

/// A watch. Dropping it ends it.
#[derive(Debug)]
pub struct Watch<T> {
    news: mpsc::Receiver<WatchEvent<T>>,
    task: JoinHandle<()>,
}

impl<T> Watch<T> {
    /// What it tells next; `None` after [`WatchEvent::Over`].
    pub async fn next(&mut self) -> Option<WatchEvent<T>> {
        self.news.recv().await
    }
}

impl<T> tokio_stream::Stream for Watch<T> {
    type Item = WatchEvent<T>;

    fn poll_next(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<Option<WatchEvent<T>>> {
        self.news.poll_recv(context)
    }
}

impl<T> Drop for Watch<T> {
    fn drop(&mut self) {
        self.task.abort();
    }
}

/// What is watched.
trait Source: Send + Sync + 'static {
    type Wire: Send + 'static;
    type Own: Send + 'static;

    /// Opens the stream, from where it was.
    fn open(
        &self,
        link: &Link,
        seen: Option<Seq>,
    ) -> impl Future<Output = Result<Response<Streaming<Self::Wire>>, Status>> + Send;

    /// Whether only what happens from now on is wanted.
    fn only_new(&self) -> bool {
        false
    }

    fn read(wire: Self::Wire) -> Read<Self::Own>;

    /// Up to where this knows the journal.
    fn covers(own: &Self::Own) -> Seq;
}

struct StripSource(Option<Spot>);
struct BenchSource(Option<BenchId>);
struct RoomSource;
struct PlanSource;
struct EventSource {
    from: Seq,
    kinds: Vec<String>,
}

macro_rules! source {
    ($source:ident: $wire:ident => $own:ident by $read:ident, |$this:ident, $link:ident, $seen:ident| $open:expr $(, $extra:item)?) => {
        impl Source for $source {
            type Wire = v1::$wire;
            type Own = $own;

            async fn open(&self, $link: &Link, $seen: Option<Seq>) -> Result<Response<Streaming<Self::Wire>>, Status> {
                let $this = self;
                $open
            }

            $($extra)?

            fn read(wire: Self::Wire) -> Read<$own> {
                decode::$read(&wire)
            }

            fn covers(own: &$own) -> Seq {
                own.covers_up_to
            }
        }
    };
}

source!(StripSource: Board => Board by board, |this, link, _seen| {
    link.strip_desk().watch_strip(link.endless(v1::StripBoardRequest { spot: this.0.map(spot) })).await
});
source!(BenchSource: Board => Board by board, |this, link, _seen| {
    let bench = this.0.map_or(0, |bench| bench.0.into());
    link.bench_desk().watch_bench(link.endless(v1::BenchBoardRequest { bench })).await
});
source!(RoomSource: Board => Board by board, |_this, link, _seen| {
    link.head_desk().watch_room(link.endless(v1::RoomRequest {})).await
});
source!(PlanSource: Plan => Plan by plan, |_this, link, _seen| {
    link.head_desk().watch_plan(link.endless(v1::WatchPlanRequest {})).await
});
source!(EventSource: EventBatch => EventBatch by events, |this, link, seen| {
    let from_seq = resume_from(this.from, seen).0;
    link.journal().watch(link.endless(v1::WatchRequest { from_seq, kinds: this.kinds.clone() })).await
}, fn only_new(&self) -> bool { self.from.0 == 0 });

/// The first number to ask for after all up to `seen` came.
fn resume_from(from: Seq, seen: Option<Seq>) -> Seq {
    seen.map_or(from, |seen| Seq(seen.0.saturating_add(1).max(from.0)))
}

impl Link {
    /// A strip's or the counter's board, kept up to date; `None` for the station's own.
    pub fn watch_strip(&self, at: Option<Spot>) -> Watch<Board> {
        self.watch(StripSource(at))
    }

    /// A bench's board, kept up to date; `None` for the station's own.
    pub fn watch_bench(&self, bench: Option<BenchId>) -> Watch<Board> {
        self.watch(BenchSource(bench))
    }

    /// The whole room, kept up to date.
    pub fn watch_room(&self) -> Watch<Board> {
        self.watch(RoomSource)
    }

    /// The plan whenever it changes.
    pub fn watch_plan(&self) -> Watch<Plan> {
        self.watch(PlanSource)
    }

    /// Events from a number on (0: only what happens from now on), of these kinds (none: of all).
    pub fn watch_events(&self, from: Seq, kinds: Vec<String>) -> Watch<EventBatch> {
        self.watch(EventSource { from, kinds })
    }

    fn watch<S: Source>(&self, source: S) -> Watch<S::Own> {
        let (to, news) = mpsc::channel(AHEAD);
        let task = tokio::spawn(run(self.clone(), source, to));
        Watch { news, task }
    }
}

/// Nobody listens any more.
struct Deaf;

/// One watch's course: what is known, and how it fails.
struct Course<S: Source> {
    to: mpsc::Sender<WatchEvent<S::Own>>,
    seen: Option<Seq>,
    fails: u32,
    away: bool,
}

async fn run<S: Source>(link: Link, source: S, to: mpsc::Sender<WatchEvent<S::Own>>) {
    let mut course: Course<S> = Course { to, seen: None, fails: 0, away: false };
    loop {
        let error = match course.follow(&link, &source).await {
            Ok(error) => error,
            Err(Deaf) => return,
        };
        if !error.may_retry() {
            // Whether somebody still listens does not matter any more.
            let _ = course.to.send(WatchEvent::Over(error)).await;
            return;
        }
        let Ok(pause) = course.failed(&link, &error).await else { return };
        tokio::time::sleep(pause).await;
        // Another server may have taken over: its epoch and versions count from now on. When it is still away, the
        // stream will say so.
        let _ = link.hello().await;
    }
}

impl<S: Source> Course<S> {
    /// Follows one stream until it breaks.
    async fn follow(&mut self, link: &Link, source: &S) -> Result<LinkError, Deaf> {
        if self.seen.is_none() && source.only_new() {
            // An outage before the first message must lose nothing of what happens from now on.
            self.seen = link.journal_head().await.ok().map(|head| head.head);
        }
        let mut stream = match source.open(link, self.seen).await {
            Ok(reply) => reply.into_inner(),
            Err(status) => return Ok(LinkError::from_status(&status)),
        };
        loop {
            let news = match stream.message().await {
                Ok(Some(wire)) => S::read(wire),
                Ok(None) => return Ok(away("the server ended the watch")),
                Err(status) => return Ok(LinkError::from_status(&status)),
            };
            match news {
                Ok(news) => self.tell(news).await?,
                Err(bad) => return Ok(bad.into()),
            }
        }
    }

    async fn tell(&mut self, news: S::Own) -> Result<(), Deaf> {
        self.fails = 0;
        self.seen = Some(S::covers(&news));
        if std::mem::take(&mut self.away) {
            self.to.send(WatchEvent::Back).await.map_err(|_| Deaf)?;
        }
        self.to.send(WatchEvent::News(news)).await.map_err(|_| Deaf)
    }

    /// Says once an outage that the server is away; how long to wait.
    async fn failed(&mut self, link: &Link, error: &LinkError) -> Result<Duration, Deaf> {
        self.fails = self.fails.saturating_add(1);
        if !std::mem::replace(&mut self.away, true) {
            let since = link.options().clock.now();
            self.to.send(WatchEvent::Away { since, reason: error.to_string() }).await.map_err(|_| Deaf)?;
        }
        let jitter = (link.options().jitter)();
        let failed =
            Failed { tries: self.fails, elapsed: Duration::ZERO, jitter, asked: error.retry_after() };
        Ok(link.options().retry.pause(&failed))
    }
}

fn away(why: &str) -> LinkError {
    LinkError::Away { why: why.to_owned(), told: true, retry_after: None }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_watch_of_events_goes_on_after_the_last_that_came() {
        assert_eq!(resume_from(Seq(0), None), Seq(0), "only what is new");
        assert_eq!(resume_from(Seq(7), None), Seq(7));
        assert_eq!(resume_from(Seq(7), Some(Seq(9))), Seq(10));
        assert_eq!(resume_from(Seq(20), Some(Seq(9))), Seq(20), "the journal has not got there yet");
        assert_eq!(resume_from(Seq(0), Some(Seq(u64::MAX))), Seq(u64::MAX));
    }
}
