package step

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestBeginsWithSignalWord(t *testing.T) {
	for _, text := range []string{
		"DANGER", " WARNUNG ", "Warning!", "GEFAHR: Netz trennen!", "WARNUNG! Nicht", "Achtung: heiß", " \n ⚠ CAUTION hot", "[Warning] hot", "<p><b>Attention</b> : chaud</p>", "Vorsicht – heiß",
		"<b>⚠\ufe0f WARNING</b>: hot", "\u00a0Warnung: heiß", "• Caution: hot", "- CAUTION hot", "Attention\u00a0: chaud", "Danger\u202f! Chaud", `"NOTICE" hot`,
	} {
		assert.True(t, BeginsWithSignalWord(text), text)
	}
	for _, text := range []string{"", "A", "warning", "Caution", "Warning lamps are red", "WARNINGS", "Warnungen lesen", "Danger-free", "no DANGER", "Notice the mark", "<", "<WARNING", "Attentionné", "<b>warning lamp</b>", "- Warning lamps"} {
		assert.False(t, BeginsWithSignalWord(text), text)
	}
}
