package glb

func arrange(v shaded) shaded { return v }
