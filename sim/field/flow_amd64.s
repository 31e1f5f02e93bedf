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

DATA log2E<>+0(SB)/8, $0x3ff71547652b82fe
GLOBL log2E<>(SB), RODATA|NOPTR, $8
DATA ln2High<>+0(SB)/8, $0x3fe62e42fee00000
GLOBL ln2High<>(SB), RODATA|NOPTR, $8
DATA ln2Low<>+0(SB)/8, $0x3dea39ef35793c76
GLOBL ln2Low<>(SB), RODATA|NOPTR, $8
DATA roundOff<>+0(SB)/8, $0x4338000000000000
GLOBL roundOff<>(SB), RODATA|NOPTR, $8
DATA mostExp<>+0(SB)/8, $0x4085e00000000000
GLOBL mostExp<>(SB), RODATA|NOPTR, $8
DATA leastExp<>+0(SB)/8, $0xc085e00000000000
GLOBL leastExp<>(SB), RODATA|NOPTR, $8

// func fallenFours(left, rate *float64, x float64, taylor *[14]float64, fours int)
TEXT ·fallenFours(SB), NOSPLIT, $0-40
	MOVQ         left+0(FP), DI
	MOVQ         rate+8(FP), SI
	VBROADCASTSD x+16(FP), Y15
	MOVQ         taylor+24(FP), R8
	MOVQ         fours+32(FP), CX
	VBROADCASTSD log2E<>(SB), Y14
	VBROADCASTSD ln2High<>(SB), Y13
	VBROADCASTSD ln2Low<>(SB), Y12
	VBROADCASTSD roundOff<>(SB), Y11
	VBROADCASTSD mostExp<>(SB), Y10
	VBROADCASTSD leastExp<>(SB), Y9

loop:
	VMULPD (SI), Y15, Y0
	VMINPD Y10, Y0, Y0
	VMAXPD Y9, Y0, Y0
	VMULPD Y14, Y0, Y1
	VADDPD Y11, Y1, Y1 // t
	VSUBPD Y11, Y1, Y2 // n
	VMULPD Y13, Y2, Y3
	VSUBPD Y3, Y0, Y0
	VMULPD Y12, Y2, Y3
	VSUBPD Y3, Y0, Y0  // r

	VBROADCASTSD 104(R8), Y4
	VMULPD       Y0, Y4, Y4
	VBROADCASTSD 96(R8), Y5
	VADDPD       Y5, Y4, Y4
	VMULPD       Y0, Y4, Y4
	VBROADCASTSD 88(R8), Y5
	VADDPD       Y5, Y4, Y4
	VMULPD       Y0, Y4, Y4
	VBROADCASTSD 80(R8), Y5
	VADDPD       Y5, Y4, Y4
	VMULPD       Y0, Y4, Y4
	VBROADCASTSD 72(R8), Y5
	VADDPD       Y5, Y4, Y4
	VMULPD       Y0, Y4, Y4
	VBROADCASTSD 64(R8), Y5
	VADDPD       Y5, Y4, Y4
	VMULPD       Y0, Y4, Y4
	VBROADCASTSD 56(R8), Y5
	VADDPD       Y5, Y4, Y4
	VMULPD       Y0, Y4, Y4
	VBROADCASTSD 48(R8), Y5
	VADDPD       Y5, Y4, Y4
	VMULPD       Y0, Y4, Y4
	VBROADCASTSD 40(R8), Y5
	VADDPD       Y5, Y4, Y4
	VMULPD       Y0, Y4, Y4
	VBROADCASTSD 32(R8), Y5
	VADDPD       Y5, Y4, Y4
	VMULPD       Y0, Y4, Y4
	VBROADCASTSD 24(R8), Y5
	VADDPD       Y5, Y4, Y4
	VMULPD       Y0, Y4, Y4
	VBROADCASTSD 16(R8), Y5
	VADDPD       Y5, Y4, Y4
	VMULPD       Y0, Y4, Y4
	VBROADCASTSD 8(R8), Y5
	VADDPD       Y5, Y4, Y4
	VMULPD       Y0, Y4, Y4
	VBROADCASTSD 0(R8), Y5
	VADDPD       Y5, Y4, Y4
	VPSLLQ       $52, Y1, Y1
	VPADDQ       Y1, Y4, Y4
	VMOVUPD      Y4, (DI)
	ADDQ         $32, SI
	ADDQ         $32, DI
	DECQ         CX
	JNZ          loop
	VZEROUPPER
	RET
