package step

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestBeginsWithSignalWord(t *testing.T) {
	for _, text := range []string{"DANGER", "warning", "GEFAHR: Netz trennen!", "WARNUNG! Nicht", "Achtung: heiß", " \n ⚠ CAUTION hot", "[Warning] hot", "<p><b>Attention</b> : chaud</p>", "Vorsicht – heiß"} {
		assert.True(t, BeginsWithSignalWord(text), text)
	}
	for _, text := range []string{"", "A", "Warning lamps are red", "WARNINGS", "Warnungen lesen", "Danger-free", "no DANGER", "Notice the mark", "<", "<WARNING", "Attentionné"} {
		assert.False(t, BeginsWithSignalWord(text), text)
	}
}
