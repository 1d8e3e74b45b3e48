//! The cards Lens and Focus, by what a thumb does.

use anyhow::Result;

use crate::stage::on_stage;

/// Computed: 24 mm on 36 × 24 sees 73.7° and covers 150 m at 100 m; upright, width and height change places. The
/// same view on 23.5 × 15.6 takes 15.6 mm.
#[test]
fn the_lens_card_answers_as_it_is_turned() {
    on_stage("lens", async |stage| {
        stage.open_lens("lens").await?;
        stage.typed("lens-focalMm", "24").await?;
        stage.typed("lens-distanceM", "100").await?;
        stage.until_text("#covers", "150 m × 100 m").await?;
        stage.until_text("#covers-notes", "73.7° across").await?;
        stage.until_text("#equivalent", "15.6 mm").await?;
        stage.script("document.getElementById('lens-held-upright').click()", vec![]).await?;
        stage.until_text("#covers", "100 m × 150 m").await?;
        // Nearer than its own focal length there is no picture, and the field says so.
        stage.typed("lens-distanceM", "0.02").await?;
        stage.until_text("#lens-distanceM-error", "not beyond the focal length").await?;
        // The lens goes along to the card beside.
        stage.card_in_front("lens/focus").await?;
        stage.until_text("#focus-hand", "24 mm on 36 × 24 mm").await
    });
}

/// Computed: 35 mm, 2 m to 20 m, 0.030 mm: focus at 3.64 m, f/9.28 by depth, f/11 with diffraction.
#[test]
fn the_focus_card_tells_what_to_dial_and_why() {
    on_stage("focus", async |stage| {
        stage.open_lens("lens/focus").await?;
        stage.typed("focus-focalMm", "35").await?;
        stage
            .script(
                "const basis = document.getElementById('focus-basis');
                basis.value = 'customary';
                basis.dispatchEvent(new Event('change'));
                document.getElementById('reaches-far').click();",
                vec![],
            )
            .await?;
        stage.typed("focus-nearM", "2").await?;
        stage.typed("focus-farM", "20").await?;
        stage.until_text("#focus-best", "3.64 m, f/11").await?;
        stage.until_text("#focus-why", "By depth f/10 would do").await?;
        stage.until_text("#focus-why", "“A third of the way in” is 8 m, too far off").await?;
        stage.typed("focus-farM", "1").await?;
        stage.until_text("#focus-farM-error", "nearer than the near end").await
    });
}

impl crate::stage::Stage {
    /// Opens a card with lengths in metres.
    pub async fn open_lens(&self, card: &str) -> Result<()> {
        self.open("#settings").await?;
        self.until("document.getElementById('lengths-metres')").await?;
        self.script("document.getElementById('lengths-metres').click()", vec![]).await?;
        self.card_in_front(card).await
    }

    pub async fn card_in_front(&self, card: &str) -> Result<()> {
        self.script("location.hash = arguments[0]", vec![card.into()]).await?;
        let current = "document.querySelector('.screen:not([hidden]) .cards [aria-current=page]')";
        self.until(&format!("{current}?.hash === '#{card}'")).await
    }

    /// Types a number into a field and leaves it.
    pub async fn typed(&self, id: &str, text: &str) -> Result<()> {
        let body = "const field = document.getElementById(arguments[0]);
            field.value = arguments[1];
            field.dispatchEvent(new Event('change'));";
        self.script(body, vec![id.into(), text.into()]).await?;
        Ok(())
    }
}
