#include "textflag.h"

// func multiply8s(sums, x, a, b *[4]*float32, eights int)
// x·a is added to the first two of sums (re, im), x·b to the others.
TEXT ·multiply8s(SB), NOSPLIT, $0-40
	MOVQ sums+0(FP), R12
	MOVQ 0(R12), DI
	MOVQ 8(R12), SI
	MOVQ 16(R12), R8
	MOVQ 24(R12), R9
	MOVQ x+8(FP), R12
	MOVQ 0(R12), R10
	MOVQ 8(R12), R11
	MOVQ a+16(FP), R12
	MOVQ 0(R12), BX
	MOVQ 8(R12), DX
	MOVQ b+24(FP), R12
	MOVQ 8(R12), R13
	MOVQ 0(R12), R12
	MOVQ eights+32(FP), CX
	XORQ AX, AX

loop:
	VMOVUPS (R10)(AX*1), Y0
	VMOVUPS (R11)(AX*1), Y1
	VMOVUPS (BX)(AX*1), Y2
	VMOVUPS (DX)(AX*1), Y3
	VMULPS  Y2, Y0, Y4
	VMULPS  Y3, Y1, Y5
	VSUBPS  Y5, Y4, Y4
	VADDPS  (DI)(AX*1), Y4, Y4
	VMOVUPS Y4, (DI)(AX*1)
	VMULPS  Y3, Y0, Y6
	VMULPS  Y2, Y1, Y7
	VADDPS  Y7, Y6, Y6
	VADDPS  (SI)(AX*1), Y6, Y6
	VMOVUPS Y6, (SI)(AX*1)
	VMOVUPS (R12)(AX*1), Y2
	VMOVUPS (R13)(AX*1), Y3
	VMULPS  Y2, Y0, Y4
	VMULPS  Y3, Y1, Y5
	VSUBPS  Y5, Y4, Y4
	VADDPS  (R8)(AX*1), Y4, Y4
	VMOVUPS Y4, (R8)(AX*1)
	VMULPS  Y3, Y0, Y6
	VMULPS  Y2, Y1, Y7
	VADDPS  Y7, Y6, Y6
	VADDPS  (R9)(AX*1), Y6, Y6
	VMOVUPS Y6, (R9)(AX*1)
	ADDQ    $32, AX
	DECQ    CX
	JNZ     loop
	VZEROUPPER
	RET

// func weigh8s(re, im, lo, hi, c, s *float32, eights int)
// re is lo·c - hi·s, im is lo·s + hi·c.
TEXT ·weigh8s(SB), NOSPLIT, $0-56
	MOVQ re+0(FP), DI
	MOVQ im+8(FP), SI
	MOVQ lo+16(FP), R8
	MOVQ hi+24(FP), R9
	MOVQ c+32(FP), R10
	MOVQ s+40(FP), R11
	MOVQ eights+48(FP), CX
	XORQ AX, AX

loop:
	VMOVUPS (R8)(AX*1), Y0
	VMOVUPS (R9)(AX*1), Y1
	VMOVUPS (R10)(AX*1), Y2
	VMOVUPS (R11)(AX*1), Y3
	VMULPS  Y2, Y0, Y4
	VMULPS  Y3, Y1, Y5
	VSUBPS  Y5, Y4, Y4
	VMOVUPS Y4, (DI)(AX*1)
	VMULPS  Y3, Y0, Y6
	VMULPS  Y2, Y1, Y7
	VADDPS  Y7, Y6, Y6
	VMOVUPS Y6, (SI)(AX*1)
	ADDQ    $32, AX
	DECQ    CX
	JNZ     loop
	VZEROUPPER
	RET

// func unweigh8s(out, re, im, c, s *float32, eights int, scale float32)
// out is (im·c - re·s)·scale.
TEXT ·unweigh8s(SB), NOSPLIT, $0-52
	MOVQ out+0(FP), DI
	MOVQ re+8(FP), R8
	MOVQ im+16(FP), R9
	MOVQ c+24(FP), R10
	MOVQ s+32(FP), R11
	MOVQ eights+40(FP), CX
	VBROADCASTSS scale+48(FP), Y7
	XORQ AX, AX

loop:
	VMOVUPS (R9)(AX*1), Y0
	VMULPS  (R10)(AX*1), Y0, Y0
	VMOVUPS (R8)(AX*1), Y1
	VMULPS  (R11)(AX*1), Y1, Y1
	VSUBPS  Y1, Y0, Y0
	VMULPS  Y7, Y0, Y0
	VMOVUPS Y0, (DI)(AX*1)
	ADDQ    $32, AX
	DECQ    CX
	JNZ     loop
	VZEROUPPER
	RET
