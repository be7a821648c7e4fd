package meshopt

import "testing"

// ramp is vertices of 8 bytes that change as those of a surface do.
func ramp(n int) []byte {
	data := make([]byte, 8*n)
	for i := range n {
		data[8*i], data[8*i+2], data[8*i+4] = byte(7*i+i/3), byte(i*i), byte(i/9)
	}
	return data
}

func BenchmarkPackAttributes(b *testing.B) {
	data := ramp(100_000)
	b.SetBytes(int64(len(data)))
	for b.Loop() {
		PackAttributes(data, 8)
	}
}

func BenchmarkUnpackAttributes(b *testing.B) {
	packed := PackAttributes(ramp(100_000), 8)
	b.SetBytes(800_000)
	for b.Loop() {
		if _, err := UnpackAttributes(packed, 100_000, 8); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPackTriangles(b *testing.B) {
	var index []uint32
	for i := range uint32(100_000) {
		index = append(index, i+i%2, i+1-i%2, i+2)
	}
	b.SetBytes(int64(4 * len(index)))
	for b.Loop() {
		PackTriangles(index)
	}
}
