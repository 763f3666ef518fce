//! Sleeping until an instant by the clock on the wall, over changes of that clock and over a machine that is suspended.
//!
//! A timer of the kernel on the real-time clock goes off at the instant, late by what the machine was suspended for, and at
//! once when somebody sets the clock (timerfd_create(2), `TFD_TIMER_CANCEL_ON_SET`): nothing wakes in between. Where there
//! is no such timer the clock is read again every [`CAP`].

use std::os::fd::AsFd;
use std::os::unix::net::UnixStream;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use chrono::{DateTime, Utc};
use rustix::event::{PollFd, PollFlags, poll};
use rustix::time::Timespec;
use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM};

/// The longest sleep where the kernel does not say that the clock was set.
pub const CAP: Duration = Duration::from_secs(60);

/// What ends a sleep from outside: `SIGTERM` and `SIGINT` end the program, `SIGHUP` has the configuration read again.
pub struct Signals {
    pipe: UnixStream,
    ended: Arc<AtomicBool>,
}

impl Signals {
    /// From here on these signals do not end the program by themselves.
    pub fn take() -> std::io::Result<Signals> {
        let (pipe, write) = UnixStream::pair()?;
        pipe.set_nonblocking(true)?;
        let ended = Arc::new(AtomicBool::new(false));
        for signal in [SIGTERM, SIGINT] {
            signal_hook::flag::register(signal, Arc::clone(&ended))?;
        }
        for signal in [SIGTERM, SIGINT, SIGHUP] {
            signal_hook::low_level::pipe::register(signal, write.try_clone()?)?;
        }
        Ok(Signals { pipe, ended })
    }

    /// Whether the program is to end.
    pub fn ended(&self) -> bool {
        self.ended.load(Ordering::Relaxed)
    }

    /// Sleeps until an instant has come, a signal arrives, or the clock was set; the caller looks at the clock again.
    pub fn sleep(&self, until: DateTime<Utc>, now: DateTime<Utc>) -> std::io::Result<()> {
        let timer = timer(until);
        let left = (until - now).to_std().unwrap_or(Duration::ZERO).min(CAP);
        let limit =
            Timespec { tv_sec: i64::try_from(left.as_secs()).unwrap_or(0), tv_nsec: left.subsec_nanos().into() };
        let mut watched = vec![PollFd::from_borrowed_fd(self.pipe.as_fd(), PollFlags::IN)];
        watched.extend(timer.as_ref().map(|timer| PollFd::from_borrowed_fd(timer.as_fd(), PollFlags::IN)));
        match poll(&mut watched, timer.is_none().then_some(&limit)) {
            Ok(_) | Err(rustix::io::Errno::INTR) => {}
            Err(error) => return Err(error.into()),
        }
        // What signals have written is read before what they ask for is done.
        let mut bytes = [0; 64];
        while std::io::Read::read(&mut &self.pipe, &mut bytes).is_ok_and(|read| read > 0) {}
        Ok(())
    }
}

/// A timer that goes off at an instant, or when the clock is set; `None` where the kernel has none.
#[cfg(target_os = "linux")]
fn timer(until: DateTime<Utc>) -> Option<std::os::fd::OwnedFd> {
    use rustix::time::{Itimerspec, TimerfdClockId, TimerfdFlags, TimerfdTimerFlags, timerfd_create, timerfd_settime};
    let timer = timerfd_create(TimerfdClockId::Realtime, TimerfdFlags::CLOEXEC | TimerfdFlags::NONBLOCK).ok()?;
    let never = Timespec { tv_sec: 0, tv_nsec: 0 };
    let at = Timespec { tv_sec: until.timestamp().max(1), tv_nsec: until.timestamp_subsec_nanos().into() };
    let flags = TimerfdTimerFlags::ABSTIME | TimerfdTimerFlags::CANCEL_ON_SET;
    timerfd_settime(&timer, flags, &Itimerspec { it_interval: never, it_value: at }).ok()?;
    Some(timer)
}

#[cfg(not(target_os = "linux"))]
fn timer(_: DateTime<Utc>) -> Option<std::os::fd::OwnedFd> {
    None
}
