#include "textflag.h"

// func weakenFours(x, by *float64, fours int)
TEXT ·weakenFours(SB), NOSPLIT, $0-24
	MOVQ x+0(FP), DI
	MOVQ by+8(FP), SI
	MOVQ fours+16(FP), CX
	XORQ AX, AX

loop:
	VMOVUPD (DI)(AX*1), Y0
	VMULPD  (SI)(AX*1), Y0, Y0
	VMOVUPD Y0, (DI)(AX*1)
	ADDQ    $32, AX
	DECQ    CX
	JNZ     loop
	VZEROUPPER
	RET

// func driveFours(now, old, lacking, fading, speaking, gain, aim, direct *float64, fours int)
TEXT ·driveFours(SB), NOSPLIT, $0-72
	MOVQ   now+0(FP), DI
	MOVQ   old+8(FP), SI
	MOVQ   lacking+16(FP), R8
	MOVQ   fading+24(FP), R9
	MOVQ   speaking+32(FP), R10
	MOVQ   gain+40(FP), R11
	MOVQ   aim+48(FP), R12
	MOVQ   direct+56(FP), R13
	MOVQ   fours+64(FP), CX
	XORQ   AX, AX
	VXORPD Y7, Y7, Y7

loop:
	VMOVUPD (R10)(AX*1), Y0
	VSUBPD  (R8)(AX*1), Y0, Y0
	VMAXPD  Y7, Y0, Y0
	VMOVUPD (R11)(AX*1), Y2
	VMULPD  Y2, Y0, Y0         // p
	VMULPD  (R9)(AX*1), Y2, Y1 // q
	VMOVUPD (R13)(AX*1), Y3
	VMOVUPD (R12)(AX*1), Y4
	VMULPD  Y3, Y0, Y5
	VMULPD  Y4, Y5, Y5
	VADDPD  (DI)(AX*1), Y5, Y5
	VMOVUPD Y5, (DI)(AX*1)
	VMULPD  Y3, Y1, Y6
	VMULPD  Y4, Y6, Y6
	VADDPD  (SI)(AX*1), Y6, Y6
	VMOVUPD Y6, (SI)(AX*1)
	VADDPD  Y1, Y0, Y0
	VMOVUPD Y0, (R8)(AX*1)
	VMOVUPD Y1, (R9)(AX*1)
	ADDQ    $32, AX
	DECQ    CX
	JNZ     loop
	VZEROUPPER
	RET

// func pourFours(tail, residue, filling, in, left *float64, fours int)
TEXT ·pourFours(SB), NOSPLIT, $0-48
	MOVQ tail+0(FP), DI
	MOVQ residue+8(FP), SI
	MOVQ filling+16(FP), R8
	MOVQ in+24(FP), R9
	MOVQ left+32(FP), R10
	MOVQ fours+40(FP), CX
	XORQ AX, AX

loop:
	VMOVUPD (R8)(AX*1), Y0
	VMULPD  (R9)(AX*1), Y0, Y1
	VMULPD  (R10)(AX*1), Y0, Y2
	VADDPD  (DI)(AX*1), Y1, Y1
	VADDPD  (SI)(AX*1), Y2, Y2
	VMOVUPD Y1, (DI)(AX*1)
	VMOVUPD Y2, (SI)(AX*1)
	ADDQ    $32, AX
	DECQ    CX
	JNZ     loop
	VZEROUPPER
	RET

// func partFours(now, old, tail, residue *float64, fours int)
TEXT ·partFours(SB), NOSPLIT, $0-40
	MOVQ now+0(FP), DI
	MOVQ old+8(FP), SI
	MOVQ tail+16(FP), R8
	MOVQ residue+24(FP), R9
	MOVQ fours+32(FP), CX
	XORQ AX, AX

loop:
	VMOVUPD (R8)(AX*1), Y0
	VMINPD  (R9)(AX*1), Y0, Y1 // left
	VSUBPD  Y1, Y0, Y0
	VADDPD  (SI)(AX*1), Y1, Y1
	VADDPD  (DI)(AX*1), Y0, Y0
	VMOVUPD Y1, (SI)(AX*1)
	VMOVUPD Y0, (DI)(AX*1)
	ADDQ    $32, AX
	DECQ    CX
	JNZ     loop
	VZEROUPPER
	RET
