//! The cards Trails and Stars, by what a thumb does.

use crate::stage::on_stage;

/// Computed: 50 km/h across a lens of 24 mm at 100 m draws 26.7 mm in 8 s, which is 74 % of 36 mm; half the frame
/// takes 5.4 s.
#[test]
fn a_trail_is_as_long_as_the_shutter_is_open_and_the_time_goes_to_the_spot() {
    on_stage("trails", async |stage| {
        stage.open_lens("lens/trails").await?;
        stage.typed("trails-focalMm", "24").await?;
        stage.typed("speedMS", "50").await?;
        stage.typed("distanceM", "100").await?;
        stage.until_text("#trail", "74 % of the frame").await?;
        stage.until_text("#trail-notes", "26.7 mm").await?;
        stage.until_text("#needed", "5.4 s").await?;
        stage.until_text("#flow-notes", "An empty frame").await?;
        // Two stops down from f/8, which is at hand where nothing is metered.
        let down = "for (let third = 0; third < 6; third += 1) document.getElementById('trails-aperture-on').click()";
        stage.script(down, vec![]).await?;
        stage.until_text("#bright", "−2.0 stops").await?;
        // Straight at the lens it draws nothing, and says so.
        stage.script("document.getElementById('way-other').click()", vec![]).await?;
        stage.typed("headingDeg", "180").await?;
        stage.until_text("#needed", "No such time").await?;
        stage.typed("distanceM", "0.01").await?;
        stage.until_text("#distanceM-error", "0.01 is outside 0.2 m to 100000 m").await?;
        stage.typed("distanceM", "100").await?;
        stage.script("document.getElementById('way-across').click()", vec![]).await?;
        stage.script("document.getElementById('take-time').click()", vec![]).await?;
        stage.script("location.hash = 'spot-form'", vec![]).await?;
        stage.until("document.getElementById('shutterWantedS')?.value === '5'").await
    });
}

/// Computed: 24 mm, f/2.8, 5.94 µm: 20.8 s by the 500 rule, 11.5 s by the simple NPF.
#[test]
fn the_stars_limits_stand_beside_each_other_with_their_sources() {
    on_stage("stars", async |stage| {
        stage.open_lens("lens/stars").await?;
        stage.typed("stars-focalMm", "24").await?;
        stage.typed("stars-pitchUm", "5.94").await?;
        stage.script("document.getElementById('where-declination').click()", vec![]).await?;
        stage.until_text("#limits", "20.8 s").await?;
        stage.until_text("#limits", "common practice").await?;
        stage.until_text("#limits", "11.5 s").await?;
        stage.typed("declinationDeg", "90").await?;
        stage.until_text("#limit", "As long as you like").await?;
        stage.typed("declinationDeg", "91").await?;
        stage.until_text("#declinationDeg-error", "90").await
    });
}
