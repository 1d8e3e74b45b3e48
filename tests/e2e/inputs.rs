//! What cannot be right is said beside its field, with the value and the range, and nothing else is lost.

use anyhow::{Result, ensure};

use crate::page::QUAY;
use crate::stage::{Stage, on_stage};

impl Stage {
    /// Waits for the problem beside a field to name these, and checks that the field is marked for everyone.
    pub async fn complains(&self, field: &str, words: &[&str]) -> Result<()> {
        for word in words {
            self.until_text(&format!("#{field}-error"), word).await?;
        }
        self.until(&format!(
            "document.getElementById('{field}').getAttribute('aria-invalid') === 'true' \
             && document.getElementById('{field}').getAttribute('aria-describedby').includes('{field}-error')"
        ))
        .await
    }

    /// Checks that the rest of the quay's form is as its address gave it.
    async fn rest_is_whole(&self) -> Result<()> {
        for (field, value) in
            [("name", "Cormorant Quay"), ("longitudeDeg", "4.87"), ("bearingDeg", "248"), ("focalMm", "28")]
        {
            let shown = self.value(field).await?;
            ensure!(shown == value, "{field} is {shown}, not {value}");
        }
        Ok(())
    }
}

#[test]
fn a_typed_latitude_of_91_is_refused_beside_its_field() {
    on_stage("latitude", async |stage| {
        stage.open_quay().await?;
        stage.spot_form().await?;
        stage.fill("latitudeDeg", "91").await?;
        stage.complains("latitudeDeg", &["91", "90"]).await?;
        stage.rest_is_whole().await?;
        stage.press("keep").await?;
        stage.until_text("#keep-state", "Not kept").await?;
        stage.fill("latitudeDeg", "50.31").await?;
        stage.until("document.getElementById('latitudeDeg-error').textContent === ''").await?;
        stage.keep_spot().await
    });
}

#[test]
fn a_zone_called_mars_is_refused_beside_its_field() {
    on_stage("zone", async |stage| {
        stage.open_quay().await?;
        stage.spot_form().await?;
        stage.fill("zone", "Mars").await?;
        stage.complains("zone", &["Mars", "Europe/Lisbon"]).await?;
        stage.rest_is_whole().await
    });
}

#[test]
fn a_broken_address_opens_the_form_with_the_faults_marked_and_the_rest_filled_in() {
    on_stage("link", async |stage| {
        let broken = QUAY.replace("lat=50.31", "lat=91").replace("Europe%2FLondon", "Mars") + "&ferry=7";
        stage.open(&broken).await?;
        stage.until_text("#latitudeDeg-error", "91").await?;
        stage.complains("latitudeDeg", &["91", "90"]).await?;
        stage.complains("zone", &["Mars"]).await?;
        stage.rest_is_whole().await?;
        stage.until_text("#spot-notice", "ferry").await
    });
}

#[test]
fn a_year_of_99999_is_refused_and_the_evening_stays() {
    on_stage("year", async |stage| {
        stage.open_quay().await?;
        stage.shows_sunset("2031-03-09").await?;
        stage.script("location.hash = '#evening?date=99999-01-01'", vec![]).await?;
        stage.until_text("#date-error", "99999").await?;
        stage.until_text("#date-error", "2099").await?;
        stage.until_text("#spot-name", "Cormorant Quay").await?;
        stage.shows_sunset("2031-03-09").await
    });
}

#[test]
fn a_spots_name_stays_text() {
    on_stage("markup", async |stage| {
        stage
            .open(&QUAY.replace("Cormorant+Quay", "%3Cimg%20src%3Dx%20onerror%3Ddocument.title%3D1%3E"))
            .await?;
        stage.until_text("#spot-name", "<img src=x").await?;
        ensure!(
            stage.script("return document.querySelector('#spot-name img')", vec![]).await?.is_null(),
            "it became markup"
        );
        Ok(())
    });
}
