//! Bearing, rot and insects.

use super::{Bearing, Insects, Rot, bearing, beside_saturation, beside_temperature, insects, rot};
use crate::quantity::{Length, Share, Temperature};
use crate::trade::rules::tests::worded;
use crate::trade::series::tests::day;
use crate::trade::verdict::{Band, By, Who};
use crate::trade::words::{Answer, InsectSign, Member, Support};

#[test]
fn what_carries_a_house_and_loses_its_support_is_urgent() {
    let cases = [
        (Some(Member::Post), Some(Support::Partial), Band::Urgent),
        (Some(Member::Beam), Some(Support::None), Band::Urgent),
        (Some(Member::Sill), Some(Support::Partial), Band::Urgent),
        (None, Some(Support::Partial), Band::Urgent), // it may be a post
        (Some(Member::JoistEnd), Some(Support::Partial), Band::Call),
        (Some(Member::Post), Some(Support::Full), Band::Watch),
        (Some(Member::Post), Some(Support::Unknown), Band::Watch),
        (Some(Member::Post), None, Band::Watch),
    ];
    for (member, support, band) in cases {
        let verdict = worded(bearing(&Bearing { member, support, moved_on: None, opened: day("2026-01-02") }));
        assert_eq!(verdict.band, Some(band), "{member:?}, {support:?}");
        if band == Band::Urgent {
            assert_eq!((verdict.who, verdict.by), (Some(Who::StructuralEngineer), Some(By::AtOnce)));
        }
    }
    let moved = Bearing { moved_on: Some(day("2026-01-03")), support: Some(Support::Full), ..Bearing::default() };
    assert_eq!(worded(bearing(&moved)).band, Some(Band::Urgent));
}

#[test]
fn rot_is_called_where_it_bears_load() {
    // Clemson CL-100 section J: decay from 28 %; no depth is published for a probe, so any counts.
    let cases = [
        (Some(Answer::Yes), Some("27.9 %"), None, Band::Watch),
        (Some(Answer::Yes), Some("28 %"), None, Band::Call),
        (Some(Answer::Yes), None, Some("1/8 in"), Band::Call),
        (Some(Answer::Yes), None, Some("0 in"), Band::Watch),
        (Some(Answer::No), Some("28 %"), None, Band::Mend),
        (Some(Answer::Unknown), Some("28 %"), None, Band::Call),
        (None, None, Some("1 in"), Band::Call),
        (Some(Answer::Yes), None, None, Band::Watch),
    ];
    for (bears_load, moisture, probe, band) in cases {
        let of = Rot {
            member: Some(Member::Sill),
            bears_load,
            moisture: moisture.map(|m| Share::parse(m).unwrap()),
            probe_sinks: None,
            probe_depth: probe.map(|p| Length::parse(p).unwrap()),
        };
        assert_eq!(worded(rot(&of)).band, Some(band), "{of:?}");
    }
    let unknown = worded(rot(&Rot { moisture: Some(Share::percent(30, 1)), ..Rot::default() }));
    assert!(unknown.not_known.contains(&"whether it bears load (not asked)".to_owned()));
    assert!(unknown.next.iter().any(|step| step.with == Some("--bears-load …")), "{:?}", unknown.next);
    let siding = Rot { member: Some(Member::Siding), moisture: Some(Share::percent(30, 1)), ..Rot::default() };
    assert_eq!(worded(rot(&siding)).band, Some(Band::Watch), "cladding carries nothing unless somebody says so");
}

#[test]
fn signs_of_insects_go_to_a_pest_professional() {
    for sign in InsectSign::ALL {
        let verdict = worded(insects(&Insects { signs: &[*sign] }));
        assert_eq!((verdict.band, verdict.who), (Some(Band::Call), Some(Who::PestProfessional)), "{sign}");
    }
    assert_eq!(worded(insects(&Insects::default())).band, Some(Band::Watch));
}

#[test]
fn a_probe_that_sank_in_counts_without_its_depth_and_a_measured_depth_goes_before_the_answer() {
    // structure 8.2: a load-bearing member into which a probe sinks is the engineer's.
    let rot = |probe_sinks, probe_depth| {
        let member = Some(Member::Sill);
        worded(rot(&Rot { member, bears_load: Some(Answer::Yes), moisture: None, probe_sinks, probe_depth }))
    };
    let sank = rot(Some(Answer::Yes), None);
    assert_eq!(sank.band, Some(Band::Call));
    assert!(sank.because[0].because.contains("how far was not measured"), "{}", sank.because[0].because);
    assert_eq!(rot(Some(Answer::No), None).band, Some(Band::Watch));
    assert_eq!(rot(Some(Answer::Yes), Some(Length::ZERO)).band, Some(Band::Watch));
}

#[test]
fn temperature_and_saturation_are_said_beside_damp_wood_and_move_no_band() {
    // Wood Handbook ch. 14: slow below 10 C and above 35 C, ceases at about 2 C and 38 C.
    let wet = Some(Share::percent(22, 1));
    for (c, said) in [
        (2, "ceases at about 2 C"),
        (3, "slow below 10 C"),
        (9, "slow below 10 C"),
        (10, "not slow"),
        (35, "not slow"),
        (36, "slow above 35 C"),
        (38, "ceases at about 38 C"),
    ] {
        let fired = beside_temperature(wet, Some(Temperature::celsius(c, 1))).unwrap();
        assert!(fired.band.is_none() && fired.because.contains(said), "{c}: {}", fired.because);
    }
    assert_eq!(beside_temperature(Some(Share::percent(19, 1)), Some(Temperature::celsius(20, 1))), None);
    assert_eq!(beside_temperature(wet, None), None);
    // Wood Handbook ch. 4: about 30 %.
    for (pct, side) in [(20, Some(": not above")), (30, Some(": not above")), (31, Some(": above")), (19, None)] {
        let fired = beside_saturation(Some(Share::percent(pct, 1)));
        assert_eq!(fired.is_some(), side.is_some(), "{pct}");
        assert!(fired.is_none_or(|f| f.band.is_none() && side.is_some_and(|side| f.because.contains(side))), "{pct}");
    }
}
