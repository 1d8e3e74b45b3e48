//! The cards Moon, Skyline and Year, by what a thumb and a phone's sensors do.

use anyhow::{Result, ensure};

use crate::stage::{Stage, on_stage};

/// An invented spot on the equator, where the declination is small, with the lens to the west.
const EQUATOR: &str = "#spot?v=1&name=Palm+Jetty&lat=0.2&lon=-32.5&elev=2&zone=UTC&bearing=270&skyline=2&format=36x24&focal=50\
    &walk=5&setup=10&aperture=2.8-16&iso=100-1600&filter=0";

/// A compass that tells a direction ten times a second, as the two kinds of browsers do.
const COMPASS: &str = "
    const [degrees, kind] = arguments;
    clearInterval(window.compass);
    let turn = 0;
    window.compass = setInterval(() => {
        turn += 1;
        const wobble = turn % 2 ? 0.5 : -0.5;
        const compass = kind === 'compass';
        const event = new DeviceOrientationEvent(compass ? 'deviceorientation' : 'deviceorientationabsolute', {
            alpha: compass ? 12 : 360 - degrees + wobble, beta: 6 + wobble, gamma: 3, absolute: !compass,
        });
        if (compass) Object.defineProperty(event, 'webkitCompassHeading', { value: degrees + wobble });
        dispatchEvent(event);
    }, 100);";

impl Stage {
    async fn skyline_card(&self) -> Result<()> {
        self.open(EQUATOR).await?;
        self.until("document.querySelector('#sheet-table tr')").await?;
        self.script("location.hash = '#sky/skyline'", vec![]).await?;
        self.until("document.querySelector('#skyline-told li')").await?;
        self.script("document.querySelectorAll('details').forEach(each => { each.open = true; })", vec![])
            .await?;
        Ok(())
    }

    /// Whether this engine knows of sensors at all; WebKitGTK does not.
    async fn knows_sensors(&self) -> Result<bool> {
        Ok(self.script("return typeof DeviceOrientationEvent === 'function'", vec![]).await? == true)
    }

    async fn points(&self, azimuth: &str, altitude: &str) -> Result<()> {
        let body = "for (const [id, text] of Object.entries({ azimuthDeg: arguments[0], 'point-altitudeDeg': arguments[1] })) {
                document.getElementById(id).value = text;
            }
            document.getElementById('add-point').click();";
        self.script(body, vec![azimuth.into(), altitude.into()]).await?;
        Ok(())
    }
}

#[test]
fn a_phone_sights_along_itself_whichever_way_its_browser_counts() {
    on_stage("sighting", async |stage| {
        stage.skyline_card().await?;
        if !stage.knows_sensors().await? {
            stage.press("sight").await?;
            return stage.until_text("#sighted", "No compass answers here").await;
        }
        for kind in ["sensor", "compass"] {
            stage.script(COMPASS, vec![250.into(), kind.into()]).await?;
            stage.press("sight").await?;
            stage.until_text("#sighted", "Hold still").await?;
            stage.until_text("#sighted", "from true north, 6.0° up").await?;
            // Half a degree to either side, and as much up and down: half a degree and a little of standard deviation.
            stage.until_text("#sighted", "scattered by 0.5° sideways and 0.5° up and down").await?;
            stage.until_text("#sighted", "min of the sun’s disappearance").await?;
            let said = stage.script("return document.getElementById('sighted').textContent", vec![]).await?;
            let azimuth =
                stage.script("return Number(document.getElementById('azimuthDeg').value)", vec![]).await?;
            let said = said.as_str().unwrap_or_default();
            let declination = said.split("Declination ").nth(1).and_then(|rest| rest.split('°').next());
            let declination: f64 = declination.unwrap_or_default().replace('\u{2212}', "-").parse()?;
            let azimuth = azimuth.as_f64().unwrap_or_default();
            ensure!(declination.abs() > 5.0, "off the coast of Brazil a needle points far west: {said}");
            ensure!((azimuth - 250.0 - declination).abs() < 0.3, "{kind}: {azimuth} with {declination}");
        }
        stage.script("clearInterval(window.compass)", vec![]).await?;
        stage.press("add-point").await?;
        stage.until_text("#points", "Tap one").await?;
        stage.until_text("#skyline-state", "kept with the spot when you keep that").await
    });
}

#[test]
fn a_refusal_and_a_missing_sensor_are_told_and_the_form_stays() {
    on_stage("sensors", async |stage| {
        stage.skyline_card().await?;
        stage.press("sight").await?;
        stage.until_text("#sighted", "No compass answers here").await?;
        if stage.knows_sensors().await? {
            stage.script("DeviceOrientationEvent.requestPermission = async () => 'denied'", vec![]).await?;
            stage.press("sight").await?;
            stage.until_text("#sighted", "not allowed to this page").await?;
            stage.script("delete window.DeviceOrientationEvent", vec![]).await?;
            stage.press("sight").await?;
            stage.until_text("#sighted", "No compass answers here").await?;
        }
        stage.points("400", "4").await?;
        stage.until_text("#azimuthDeg-error", "0° to 360°").await?;
        stage.points("250", "4").await?;
        stage.until_text("#points", "250°, 4°").await
    });
}

#[test]
fn a_surveyed_skyline_is_kept_with_its_spot_and_counts_on_the_run_sheet() {
    on_stage("skyline", async |stage| {
        stage.skyline_card().await?;
        stage.script("location.hash = '#spot-form'", vec![]).await?;
        stage.until("document.getElementById('keep')").await?;
        stage.press("keep").await?;
        stage.until_text("#keep-state", "Kept on this device").await?;
        stage.script("location.hash = '#sky/skyline?date=2031-03-20'", vec![]).await?;
        stage.until_text("#skyline-told", "Sun: gone behind").await?;
        // The equinox sun sinks upright at 270°, beside a tower.
        for (azimuth, altitude) in [("200", "9"), ("269.2", "9"), ("269.2", "3"), ("271", "3"), ("300", "3")]
        {
            stage.points(azimuth, altitude).await?;
            stage.until_text("#skyline-state", "Kept with the spot").await?;
        }
        stage.until_text("#skyline-told", "Sun in the frame").await?;
        let told = "return document.getElementById('skyline-told').textContent";
        let before = stage.script(told, vec![]).await?;
        stage.open("").await?;
        stage.until("document.querySelector('#sheet-table tr')").await?;
        stage.script("location.hash = '#sky/skyline?date=2031-03-20'", vec![]).await?;
        stage.until_text("#points", "269.2°, 9°").await?;
        let after = stage.script(told, vec![]).await?;
        ensure!(before == after, "{before} became {after}");
        // The run sheet of that evening counts with it.
        stage.script("location.hash = '#evening?date=2031-03-20&part=evening'", vec![]).await?;
        stage.until("document.querySelector('#sheet-table tr[data-kind=skyline]')").await?;
        Ok(())
    });
}

#[test]
fn a_year_is_searched_and_opens_an_evening_and_tells_tonight_of_each_spot() {
    on_stage("year", async |stage| {
        stage.skyline_card().await?;
        stage.script("location.hash = '#spot-form'", vec![]).await?;
        stage.until("document.getElementById('keep')").await?;
        stage.press("keep").await?;
        stage.until_text("#keep-state", "Kept on this device").await?;
        stage.script("location.hash = '#sky/year'", vec![]).await?;
        stage.until_text("#found", "evenings").await?;
        stage.until_text("#evenings li", " the lens at").await?;
        stage.until_text("#spots-tonight", "Palm Jetty").await?;
        let count = "return document.querySelectorAll('#evenings li').length";
        let all = stage.script(count, vec![]).await?;
        let body = "const pick = document.getElementById('lit');
            pick.value = 'full';
            pick.dispatchEvent(new Event('change'));";
        stage.script(body, vec![]).await?;
        stage.settled().await?;
        let fewer = stage.script(count, vec![]).await?;
        ensure!(fewer.as_u64() < all.as_u64(), "{fewer} of {all}");
        stage.script(&body.replace("full", ""), vec![]).await?;
        stage.settled().await?;
        let date = "document.querySelector('#evenings a').hash.slice(14, 24)";
        let date = stage
            .script(
                &format!("const date = {date}; document.querySelector('#evenings a').click(); return date"),
                vec![],
            )
            .await?;
        let date = date.as_str().unwrap_or_default();
        stage.until(&format!("document.getElementById('date').value === '{date}'")).await?;
        stage.until("document.querySelector('#sheet-table tr[data-kind=dial]')").await
    });
}

#[test]
fn the_moon_is_told_with_its_phases() {
    on_stage("moon", async |stage| {
        stage.skyline_card().await?;
        // Full on 2031-04-07 at 17:21 UTC (computed).
        stage.script("location.hash = '#sky/moon?date=2031-04-07'", vec![]).await?;
        stage.until_text("#moon-lit", "100 %").await?;
        stage.until_text(".screen-moon", "Rises").await?;
        stage.until_text("#frame", "frame").await?;
        stage.until("document.querySelector('.moon-lit').getAttribute('d').includes('0 0 1')").await
    });
}
