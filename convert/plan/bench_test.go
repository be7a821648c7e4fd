package plan

import (
	"fmt"
	"io"
	"runtime"
	"testing"
)

// generator writes a plan of n operations with ten steps each, about 2 KB a step,
// as it is read.
type generator struct {
	n, at int
	rest  []byte
}

func (g *generator) Read(p []byte) (int, error) {
	for len(g.rest) == 0 {
		switch {
		case g.at == 0:
			g.rest = []byte("<?xml version='1.0' encoding='UTF-8'?>\n<plan xmlns='urn:planfold:plan:1' id='GR-200'>\n<operations>\n")
		case g.at <= g.n:
			g.rest = g.operation()
		case g.at == g.n+1:
			g.rest = []byte("</operations>\n</plan>\n")
		default:
			return 0, io.EOF
		}
		g.at++
	}
	n := copy(p, g.rest)
	g.rest = g.rest[n:]
	return n, nil
}

func (g *generator) operation() []byte {
	b := fmt.Appendf(nil, "  <operation id=\"OP-%d\" number=\"%04d\" workCentre=\"BENCH-1\">\n    <title xml:lang=\"en\">Operation %d</title>\n", g.at, g.at, g.at)
	for s := range 10 {
		b = fmt.Appendf(b, "    <step id=\"S-%d-%d\" number=\"%d\" view=\"V-%d\">\n      <title xml:lang=\"en\">Fit the housing</title>\n      <title xml:lang=\"de\">Gehäuse montieren</title>\n", g.at, s, s, s)
		for part := range 10 {
			b = fmt.Appendf(b, "      <part item=\"P-%d\" quantity=\"%d\" unit=\"C62\" find=\"%d\"><purpose>to be fitted &amp; secured</purpose><occurrence ref=\"housing-%d\"/></part>\n", 1000+part, part, 10*part, part)
		}
		b = append(b, "      <text xml:lang=\"en\">Lift <b>both</b> halves onto the fixture; the dowel must show towards the operator. Do not turn.</text>\n    </step>\n"...)
	}
	return append(b, "  </operation>\n"...)
}

// BenchmarkRead reads 200 MB, with each operation a record and the plan one around
// them, and reports the highest heap seen.
func BenchmarkRead(b *testing.B) {
	const operations = 12_100
	for b.Loop() {
		runtime.GC()
		var highest, size uint64
		records := 0
		g := &generator{n: operations}
		counted := &counter{in: g}
		found, err := Read(counted, "plan.xml", func(e *Element) bool { return e.Name.Local == "operation" || e.Parent == nil }, func(*Element) error {
			if records++; records%500 == 0 {
				var m runtime.MemStats
				runtime.ReadMemStats(&m)
				highest = max(highest, m.HeapInuse)
			}
			return nil
		})
		if err != nil || len(found) > 0 || records != operations+1 {
			b.Fatal(records, found, err)
		}
		size = counted.n
		b.SetBytes(int64(size))
		b.ReportMetric(float64(highest)/(1<<20), "peak-MiB")
	}
}

type counter struct {
	in io.Reader
	n  uint64
}

func (c *counter) Read(p []byte) (int, error) {
	n, err := c.in.Read(p)
	c.n += uint64(n)
	return n, err
}
