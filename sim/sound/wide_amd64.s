#include "textflag.h"

// A resonator in memory: now 0, before 64, c 128, d 136.

// func ringTwoEights(dst *float64, eights int, a, b *resonator)
TEXT ·ringTwoEights(SB), NOSPLIT, $0-32
	MOVQ         dst+0(FP), DI
	MOVQ         eights+8(FP), CX
	MOVQ         a+16(FP), SI
	MOVQ         b+24(FP), DX
	VMOVUPD      (SI), Y0
	VMOVUPD      32(SI), Y1
	VMOVUPD      64(SI), Y2
	VMOVUPD      96(SI), Y3
	VBROADCASTSD 128(SI), Y8
	VBROADCASTSD 136(SI), Y9
	VMOVUPD      (DX), Y4
	VMOVUPD      32(DX), Y5
	VMOVUPD      64(DX), Y6
	VMOVUPD      96(DX), Y7
	VBROADCASTSD 128(DX), Y10
	VBROADCASTSD 136(DX), Y11

loop:
	VADDPD  Y4, Y0, Y12
	VADDPD  Y5, Y1, Y13
	VADDPD  (DI), Y12, Y12
	VADDPD  32(DI), Y13, Y13
	VMOVUPD Y12, (DI)
	VMOVUPD Y13, 32(DI)

	VMULPD  Y2, Y9, Y2
	VMULPD  Y3, Y9, Y3
	VMULPD  Y0, Y8, Y12
	VMULPD  Y1, Y8, Y13
	VMULPD  Y6, Y11, Y6
	VMULPD  Y7, Y11, Y7
	VMULPD  Y4, Y10, Y14
	VMULPD  Y5, Y10, Y15
	VSUBPD  Y2, Y12, Y12
	VSUBPD  Y3, Y13, Y13
	VSUBPD  Y6, Y14, Y14
	VSUBPD  Y7, Y15, Y15
	VMOVAPD Y0, Y2
	VMOVAPD Y1, Y3
	VMOVAPD Y4, Y6
	VMOVAPD Y5, Y7
	VMOVAPD Y12, Y0
	VMOVAPD Y13, Y1
	VMOVAPD Y14, Y4
	VMOVAPD Y15, Y5
	ADDQ    $64, DI
	DECQ    CX
	JNZ     loop

	VMOVUPD Y0, (SI)
	VMOVUPD Y1, 32(SI)
	VMOVUPD Y2, 64(SI)
	VMOVUPD Y3, 96(SI)
	VMOVUPD Y4, (DX)
	VMOVUPD Y5, 32(DX)
	VMOVUPD Y6, 64(DX)
	VMOVUPD Y7, 96(DX)
	VZEROUPPER
	RET

// func sincSumFours(src *[16]float64, rows *[2][16]float64, f float64) float64
TEXT ·sincSumFours(SB), NOSPLIT, $0-32
	MOVQ         src+0(FP), SI
	MOVQ         rows+8(FP), DX
	VBROADCASTSD f+16(FP), Y15
	VMOVUPD      0(DX), Y0
	VMOVUPD      128(DX), Y4
	VMOVUPD      32(DX), Y1
	VMOVUPD      160(DX), Y5
	VMOVUPD      64(DX), Y2
	VMOVUPD      192(DX), Y6
	VMOVUPD      96(DX), Y3
	VMOVUPD      224(DX), Y7
	VSUBPD       Y0, Y4, Y4
	VSUBPD       Y1, Y5, Y5
	VSUBPD       Y2, Y6, Y6
	VSUBPD       Y3, Y7, Y7
	VMULPD       Y15, Y4, Y4
	VMULPD       Y15, Y5, Y5
	VMULPD       Y15, Y6, Y6
	VMULPD       Y15, Y7, Y7
	VADDPD       Y4, Y0, Y0
	VADDPD       Y5, Y1, Y1
	VADDPD       Y6, Y2, Y2
	VADDPD       Y7, Y3, Y3
	VMULPD       0(SI), Y0, Y0
	VMULPD       32(SI), Y1, Y1
	VMULPD       64(SI), Y2, Y2
	VMULPD       96(SI), Y3, Y3
	VADDPD       Y1, Y0, Y0
	VADDPD       Y2, Y0, Y0
	VADDPD       Y3, Y0, Y0
	VEXTRACTF128 $1, Y0, X1
	VADDPD       X1, X0, X0
	VPERMILPD    $1, X0, X1
	VADDSD       X1, X0, X0
	VMOVSD       X0, ret+24(FP)
	VZEROUPPER
	RET

DATA halfUp<>+0(SB)/8, $0x40e0001000000000 // 32768.5
GLOBL halfUp<>(SB), RODATA, $8

DATA up<>+0(SB)/4, $32768
GLOBL up<>(SB), RODATA, $4

DATA magnitude<>+0(SB)/8, $0x7fffffffffffffff
GLOBL magnitude<>(SB), RODATA, $8

// func shortEights(dst *int16, x *float64, eights int, scale float64)
TEXT ·shortEights(SB), NOSPLIT, $0-32
	MOVQ         dst+0(FP), DI
	MOVQ         x+8(FP), SI
	MOVQ         eights+16(FP), CX
	VBROADCASTSD scale+24(FP), Y0
	VBROADCASTSD halfUp<>(SB), Y1
	VPBROADCASTD up<>(SB), X2

loop:
	VMULPD       (SI), Y0, Y3
	VMULPD       32(SI), Y0, Y4
	VADDPD       Y1, Y3, Y3
	VADDPD       Y1, Y4, Y4
	VCVTTPD2DQY  Y3, X3
	VCVTTPD2DQY  Y4, X4
	VPSUBD       X2, X3, X3
	VPSUBD       X2, X4, X4
	VPACKSSDW    X4, X3, X3
	VMOVDQU      X3, (DI)
	ADDQ         $64, SI
	ADDQ         $16, DI
	DECQ         CX
	JNZ          loop
	VZEROUPPER
	RET

// func largestEights(x *float64, eights int) float64
TEXT ·largestEights(SB), NOSPLIT, $0-24
	MOVQ         x+0(FP), SI
	MOVQ         eights+8(FP), CX
	VBROADCASTSD magnitude<>(SB), Y0
	VXORPD       Y1, Y1, Y1
	VXORPD       Y2, Y2, Y2

loop:
	VANDPD       (SI), Y0, Y3
	VANDPD       32(SI), Y0, Y4
	VMAXPD       Y1, Y3, Y1
	VMAXPD       Y2, Y4, Y2
	ADDQ         $64, SI
	DECQ         CX
	JNZ          loop
	VMAXPD       Y1, Y2, Y1
	VEXTRACTF128 $1, Y1, X2
	VMAXPD       X1, X2, X1
	VPERMILPD    $1, X1, X2
	VMAXSD       X1, X2, X1
	VMOVSD       X1, ret+16(FP)
	VZEROUPPER
	RET
