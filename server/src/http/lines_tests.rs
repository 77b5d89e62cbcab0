//! Lines by themselves: bounds, and who counts as gone.

use super::lines::{For, Heard, Lines, Taken, TooMany};
use std::net::{IpAddr, Ipv4Addr};
use std::time::{Duration, Instant};
use tokio::time::timeout;

fn address(last: u8) -> IpAddr {
    Ipv4Addr::new(192, 168, 1, last).into()
}

/// Long enough for whatever does not wait.
const AT_ONCE: Duration = Duration::from_secs(5);
/// Too short for anything but what is there.
const BRIEFLY: Duration = Duration::from_millis(20);

#[tokio::test]
async fn one_address_cannot_take_all_lines_and_all_together_are_bounded() {
    let lines = Lines::default();
    let open = |last: u8| lines.open(For::Player, address(last), None);
    let mut ends: Vec<_> = (0..256).map(|_| open(1).unwrap().1).collect();
    assert_eq!(open(1).unwrap_err(), TooMany);
    for last in 2..=4 {
        ends.extend((0..256).map(|_| open(last).unwrap().1));
    }
    assert_eq!(open(5).unwrap_err(), TooMany);
    // A line that ends makes room.
    ends.pop();
    assert!(open(5).is_ok());
}

#[tokio::test]
async fn what_waits_for_a_stream_is_bounded_and_what_was_taken_is_kept_for_a_while() {
    let lines = Lines::default();
    let (name, end) = lines.open(For::Player, address(1), None).unwrap();
    let line = lines.get(&name, For::Player).unwrap();
    assert!(lines.get(&name, For::Conductor).is_none());
    for i in 0..64 {
        timeout(AT_ONCE, end.say(&i.to_string())).await.unwrap().unwrap();
    }
    assert!(timeout(BRIEFLY, end.say("64")).await.is_err(), "the 65th waits");
    let mut stream = line.clone().stream(0).unwrap();
    let hear = async |stream: &mut super::lines::LineStream| match stream.next().await {
        Some(Heard::Message { number, text }) => (number, text.to_string()),
        other => panic!("{other:?}"),
    };
    for i in 0..64u64 {
        assert_eq!(hear(&mut stream).await, (i + 1, i.to_string()));
    }
    for i in 64..164 {
        timeout(AT_ONCE, end.say(&i.to_string())).await.unwrap().unwrap();
        assert_eq!(hear(&mut stream).await.1, i.to_string());
    }
    drop(stream);
    // 128 are kept of the 164: from number 37 on, so that what follows 36 can still be heard.
    assert!(line.clone().stream(35).is_none());
    let mut again = line.clone().stream(36).unwrap();
    assert_eq!(hear(&mut again).await, (37, "36".to_owned()));
    assert!(line.clone().stream(165).is_none(), "never said");
}

#[tokio::test]
async fn a_device_is_gone_without_stream_or_without_a_word() {
    let lines = Lines::default();
    let (name, end) = lines.open(For::Player, address(1), None).unwrap();
    let line = lines.get(&name, For::Player).unwrap();
    let now = Instant::now();
    let after = |seconds| now + Duration::from_secs(seconds);
    // Counted from the very moments of opening and of the stream's end, a little before and after `now`.
    let is_silent_for = |seconds| {
        let silent = end.silent_for(after(seconds)).unwrap();
        assert!(silent.as_secs().abs_diff(seconds) <= 1, "{silent:?}");
    };
    is_silent_for(32);
    let stream = line.clone().stream(0).unwrap();
    let nothing = Some(Duration::ZERO);
    assert_eq!(end.silent_for(after(140)), nothing, "a hidden page asks for the time once a minute");
    assert_eq!(end.silent_for(after(152)), None, "a stream alone is no sign of life");
    drop(stream);
    is_silent_for(32);
    // Its end is the end of the stream and of what may be said.
    let mut stream = line.clone().stream(0).unwrap();
    drop(end);
    assert_eq!(stream.next().await, Some(Heard::End));
    assert_eq!(stream.next().await, None);
    assert_eq!(line.take(1, vec!["x".to_owned()]).await, Taken::Ended);
    assert!(lines.get(&name, For::Player).is_none());
}

#[tokio::test]
async fn a_request_is_taken_whole_or_not_at_all() {
    let lines = Lines::default();
    let (name, mut end) = lines.open(For::Player, address(1), Some("hello".to_owned())).unwrap();
    let line = lines.get(&name, For::Player).unwrap();
    let batch = |n: usize| vec!["x".to_owned(); n];
    assert_eq!(line.take(1, batch(128)).await, Taken::Yes);
    // 129 wait already; another 128 do not fit into 256 until somebody reads.
    assert!(timeout(BRIEFLY, line.take(2, batch(128))).await.is_err());
    for _ in 0..2 {
        timeout(AT_ONCE, end.receive()).await.unwrap().unwrap();
    }
    assert_eq!(line.take(2, batch(128)).await, Taken::Yes);
    assert_eq!(line.take(2, batch(1)).await, Taken::Yes, "said before");
    assert_eq!(line.take(4, batch(1)).await, Taken::OutOfOrder);
    let mut n = 0;
    while timeout(BRIEFLY, end.receive()).await.is_ok() {
        n += 1;
    }
    assert_eq!(n, 129 - 2 + 128);
}
