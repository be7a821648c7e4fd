package meshopt

// Mode 0 (appendix A). Elements go in blocks. A block has a part for each byte of an
// element: the differences from that byte of the element before, sixteen a group,
// each group in as few bits as it takes.

const (
	attributesHeader = 0xa0
	group            = 16
	mostBlock        = 256
	blockBytes       = 8192
	leastTail        = 32
)

// blockElements is how many elements a whole block has.
func blockElements(stride int) int {
	return min(blockBytes/stride&^(group-1), mostBlock)
}

func tailBytes(stride int) int { return max(stride, leastTail) }

// PackAttributes packs elements of stride bytes, a multiple of 4 up to 256.
func PackAttributes(data []byte, stride int) []byte {
	if stride <= 0 || stride > 256 || stride%4 != 0 || len(data)%stride != 0 {
		panic("meshopt: internal error: elements do not fit their stride")
	}
	out := append(make([]byte, 0, len(data)/2+tailBytes(stride)+1), attributesHeader)
	first := make([]byte, stride)
	copy(first, data)
	last := first
	deltas := make([]byte, mostBlock)
	for size := blockElements(stride) * stride; len(data) > 0; {
		block := data[:min(size, len(data))]
		for k := range stride {
			out = packColumn(out, difference(deltas, block, last[k], stride, k))
		}
		last = block[len(block)-stride:]
		data = data[len(block):]
	}
	out = append(out, make([]byte, tailBytes(stride)-stride)...)
	return append(out, first...)
}

// difference of byte k of each element from the one before, in whole groups.
func difference(deltas, block []byte, before byte, stride, k int) []byte {
	n := 0
	for at := k; at < len(block); at += stride {
		deltas[n] = zigzag(block[at] - before)
		before = block[at]
		n++
	}
	for ; n%group != 0; n++ {
		deltas[n] = 0
	}
	return deltas[:n]
}

func zigzag(v byte) byte   { return byte(int8(v)>>7) ^ v<<1 }
func unzigzag(v byte) byte { return -(v & 1) ^ v>>1 }

// packColumn writes two bits a group that say how it is stored, then the groups.
func packColumn(out, deltas []byte) []byte {
	groups := len(deltas) / group
	head := len(out)
	out = append(out, make([]byte, (groups+3)/4)...)
	for i := range groups {
		g := (*[group]byte)(deltas[group*i:])
		mode := modeOf(g)
		out[head+i/4] |= mode << (i % 4 * 2)
		switch mode {
		case 1:
			out = packBits(out, g, 2)
		case 2:
			out = packBits(out, g, 4)
		case 3:
			out = append(out, g[:]...)
		}
	}
	return out
}

// modeOf is the way that takes the fewest bytes.
func modeOf(g *[group]byte) byte {
	some, above2, above4 := 0, 0, 0
	for _, d := range g {
		if d > 0 {
			some++
		}
		if d >= 3 {
			above2++
		}
		if d >= 15 {
			above4++
		}
	}
	switch two, four := 4+above2, 8+above4; {
	case some == 0:
		return 0
	case two <= four && two < group:
		return 1
	case four < group:
		return 2
	}
	return 3
}

// packBits stores deltas in so many bits; one that does not fit has all of them set
// and follows as a byte.
func packBits(out []byte, g *[group]byte, bits int) []byte {
	sentinel := byte(1)<<bits - 1
	for i := 0; i < group; {
		b := byte(0)
		for range 8 / bits {
			b = b<<bits | min(g[i], sentinel)
			i++
		}
		out = append(out, b)
	}
	for _, d := range g {
		if d >= sentinel {
			out = append(out, d)
		}
	}
	return out
}

// UnpackAttributes gives count elements of stride bytes.
func UnpackAttributes(b []byte, count, stride int) ([]byte, error) {
	if stride <= 0 || stride > 256 || stride%4 != 0 {
		return nil, errStride
	}
	tail := tailBytes(stride)
	if len(b) == 0 || b[0] != attributesHeader {
		return nil, errHeader
	}
	// A group of nothing still takes two bits for each byte.
	if len(b) < 1+tail || count > (len(b)-1-tail)/stride*4*group {
		return nil, errShort
	}
	last := b[len(b)-stride:]
	in := b[1 : len(b)-tail]
	out := make([]byte, count*stride)
	size := blockElements(stride) * stride
	for rest := out; len(rest) > 0; {
		block := rest[:min(size, len(rest))]
		for k := range stride {
			var err error
			if in, err = unpackColumn(in, block, last[k], stride, k); err != nil {
				return nil, err
			}
		}
		last = block[len(block)-stride:]
		rest = rest[len(block):]
	}
	if len(in) > 0 {
		return nil, errLong
	}
	return out, nil
}

func unpackColumn(in, block []byte, value byte, stride, k int) ([]byte, error) {
	groups := (len(block)/stride + group - 1) / group
	head := (groups + 3) / 4
	if len(in) < head {
		return nil, errShort
	}
	modes, in := in[:head], in[head:]
	at := k
	var deltas [group]byte
	for i := range groups {
		var err error
		if in, err = unpackGroup(in, &deltas, modes[i/4]>>(i%4*2)&3); err != nil {
			return nil, err
		}
		for _, d := range deltas {
			if at >= len(block) {
				break
			}
			value += unzigzag(d)
			block[at] = value
			at += stride
		}
	}
	return in, nil
}

func unpackGroup(in []byte, g *[group]byte, mode byte) ([]byte, error) {
	switch mode {
	case 0:
		*g = [group]byte{}
		return in, nil
	case 3:
		if len(in) < group {
			return nil, errShort
		}
		copy(g[:], in)
		return in[group:], nil
	}
	bits := int(2 * mode)
	packed := 2 * bits
	if len(in) < packed {
		return nil, errShort
	}
	sentinel := byte(1)<<bits - 1
	rest := in[packed:]
	for i := range g {
		d := in[i*bits/8] >> (8 - bits - i*bits%8) & sentinel
		if d == sentinel {
			if len(rest) == 0 {
				return nil, errShort
			}
			d, rest = rest[0], rest[1:]
		}
		g[i] = d
	}
	return rest, nil
}
