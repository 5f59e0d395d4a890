//! Notices and promises: what was told to whom, and whether they have read it.

use std::sync::Arc;

use crate::ids::{JobId, NoticeId, Seq};
use crate::promise::Raw;
use crate::time::Stamp;

use super::super::event::{NoticeSent, PromiseSaid};
use super::super::job::{Notice, Promise};
use super::super::state::Armoury;

impl Armoury {
    pub(super) fn notify(&mut self, seq: Seq, e: &NoticeSent, when: Stamp) {
        let id = NoticeId(seq.0);
        self.drop_notice(e.job);
        self.notices.insert(id, e.job);
        let notice = Notice { id, what: e.what, to: e.to, sent: when, confirmed: None, raised: false };
        self.edit(seq, e.job, |job| job.notice = Some(notice));
    }

    pub(super) fn confirm(&mut self, seq: Seq, job: JobId, notice: NoticeId, when: Stamp) {
        self.notices.remove(&notice);
        self.edit(seq, job, |job| {
            if let Some(notice) = job.notice.as_mut().filter(|sent| sent.id == notice) {
                notice.confirmed = Some(when);
            }
        });
    }

    pub(super) fn raise(&mut self, seq: Seq, job: JobId, notice: NoticeId) {
        self.edit(seq, job, |job| {
            if let Some(notice) = job.notice.as_mut().filter(|sent| sent.id == notice) {
                notice.raised = true;
            }
        });
    }

    /// An open notice that no longer says what is so.
    pub(super) fn drop_notice(&mut self, id: JobId) {
        let open = self.jobs.get(&id).and_then(|job| job.notice).filter(|notice| notice.confirmed.is_none());
        if let (Some(notice), Some(job)) = (open, self.jobs.get_mut(&id)) {
            self.notices.remove(&notice.id);
            Arc::make_mut(job).notice = None;
        }
    }

    pub(super) fn promise(&mut self, seq: Seq, e: &PromiseSaid, when: Stamp) {
        let raw = e.raw_likely.zip(e.raw_safe).map(|(likely, safe)| Raw { likely, safe });
        let promise = Promise { likely: e.likely, safe: e.safe, said: when, raw };
        if let Some(job) = self.jobs.get(&e.job).filter(|job| job.first_promise.is_none()) {
            self.kept.said(e.job, job.declared, &promise);
        }
        self.edit(seq, e.job, |job| {
            job.first_promise.get_or_insert(promise);
            job.promise = Some(promise);
        });
    }
}
