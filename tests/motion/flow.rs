//! Traffic by chance, against Poisson's formula and against a road played through at random.

use duskbook::motion::flow::Flow;
use proptest::prelude::*;

use super::close;

/// Rounds that each road is played.
const PLAYS: usize = 4000;

/// Uniform numbers in [0, 1) from Marsaglia's 64-bit xorshift (2003), so that every run is the same.
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> f64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Times at which cars come within a span, a second.
    fn arrivals(&mut self, per_second: f64, from: f64, to: f64) -> Vec<f64> {
        let mut found = Vec::new();
        let mut at = from;
        loop {
            at -= (1.0 - self.roll()).ln() / per_second;
            if at >= to {
                return found;
            }
            found.push(at);
        }
    }
}

/// By hand: 6 cars a minute for 20 s, on a road of 10 s, are 3; e^−3 is 0.0498.
#[test]
fn an_empty_frame_has_the_chance_of_no_arrival() {
    let flow = Flow::new(6.0, 10.0, 20.0).unwrap();
    close(flow.trails(), 3.0, 1e-12, "trails");
    close(flow.empty_chance(), 0.049_787, 1e-6, "empty");
    let none = Flow::new(0.0, 10.0, 20.0).unwrap();
    assert_eq!((none.empty_chance(), none.full_chance(), none.frames_for_unbroken()), (1.0, 0.0, None));
    assert_eq!(Flow::new(6000.0, 1.0, 1.0).unwrap_err().field(), "carsPerMin");
}

#[test]
fn the_chances_hold_on_a_road_played_through_at_random() {
    let mut dice = Dice(0x2031_0309);
    for (cars, road_s, open_s) in [(6.0, 10.0, 20.0), (12.0, 8.0, 15.0), (20.0, 12.0, 4.0), (30.0, 5.0, 10.0)]
    {
        let flow = Flow::new(cars, road_s, open_s).unwrap();
        let frames = flow.frames_for_unbroken().unwrap();
        let (mut empty, mut full, mut stacked, mut fewer) = (0, 0, 0, 0);
        for _ in 0..PLAYS {
            // Each car that comes at `a` draws the road from −a to open − a on the scale of its driving time.
            let mut frame = || {
                let cars = dice.arrivals(cars / 60.0, -road_s, open_s);
                cars.iter().map(|a| ((-a).max(0.0), (open_s - a).min(road_s))).collect::<Vec<(f64, f64)>>()
            };
            let covered = |mut pieces: Vec<(f64, f64)>| {
                pieces.sort_by(|a, b| a.0.total_cmp(&b.0));
                let reach = pieces
                    .iter()
                    .fold(0.0, |to: f64, piece| if piece.0 <= to { to.max(piece.1) } else { to });
                reach >= road_s
            };
            let one = frame();
            empty += usize::from(one.is_empty());
            full += usize::from(covered(one));
            stacked += usize::from(covered((0..frames).flat_map(|_| frame()).collect()));
            fewer += usize::from(covered((0..frames / 2).flat_map(|_| frame()).collect()));
        }
        let share = |count: usize| count as f64 / PLAYS as f64;
        let what = format!("{cars} a minute, road {road_s} s, open {open_s} s: {frames} frames");
        println!(
            "{what}: empty {:.3}, full {:.3}, stacked {:.3}, of half {:.3}",
            share(empty),
            share(full),
            share(stacked),
            share(fewer)
        );
        // Three standard errors of 4000 plays are 0.024 at most.
        close(share(empty), flow.empty_chance(), 0.024, &what);
        assert!(share(full) >= flow.full_chance() - 0.024, "{what}: full {}", share(full));
        assert!(share(stacked) >= 0.95 - 0.011, "{what}: stacked {}", share(stacked));
        // Not far more than needed: half as many would not do.
        assert!(share(fewer) < 0.95, "{what}: {}", share(fewer));
    }
}

proptest! {
    #[test]
    fn more_cars_and_longer_times_need_no_more_frames(cars in 0.1..150.0f64, road_s in 0.5..120.0f64, open_s in 0.5..120.0f64, more in 1.0..4.0f64) {
        let frames = |cars: f64, open_s: f64| Flow::new(cars, road_s, open_s).unwrap().frames_for_unbroken().unwrap();
        let here = frames(cars, open_s);
        prop_assert!(frames(cars * more, open_s) <= here);
        prop_assert!(frames(cars, open_s * more) <= here);
        // The formula itself, at the frames told and at one fewer.
        let gaps = |n: f64| (-n * cars / 60.0 * open_s).exp() * (1.0 + n * cars / 60.0 * road_s);
        prop_assert!(gaps(f64::from(here)) <= 0.05 + 1e-6);
        prop_assert!(here == 1 || gaps(f64::from(here - 1)) > 0.05 - 1e-6);
        let flow = Flow::new(cars, road_s, open_s).unwrap();
        prop_assert!((0.0..=1.0).contains(&flow.full_chance()) && (0.0..=1.0).contains(&flow.empty_chance()));
    }
}
