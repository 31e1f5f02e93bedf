#include "textflag.h"

// func addScaled(x, w *float32, eights int, a float32)
TEXT ·addScaled(SB), NOSPLIT, $0-28
	MOVQ   x+0(FP), DI
	MOVQ   w+8(FP), SI
	MOVQ   eights+16(FP), CX
	XORQ   AX, AX
	TESTQ  CX, CX
	JZ     done
	CMPB   ·wide(SB), $0
	JNE    wide
	MOVSS  a+24(FP), X0
	SHUFPS $0, X0, X0
	SHLQ   $1, CX // fours

loop:
	MOVUPS (SI)(AX*1), X1
	MOVUPS (DI)(AX*1), X2
	MULPS  X0, X1
	ADDPS  X1, X2
	MOVUPS X2, (DI)(AX*1)
	ADDQ   $16, AX
	DECQ   CX
	JNZ    loop

done:
	RET

wide:
	VBROADCASTSS a+24(FP), Y0

wideloop:
	VMULPS  (SI)(AX*1), Y0, Y1
	VADDPS  (DI)(AX*1), Y1, Y2
	VMOVUPS Y2, (DI)(AX*1)
	ADDQ    $32, AX
	DECQ    CX
	JNZ     wideloop
	VZEROUPPER
	RET

// func addScaled3(x, y, z, w *float32, eights int, a, b, c float32)
TEXT ·addScaled3(SB), NOSPLIT, $0-52
	MOVQ   x+0(FP), DI
	MOVQ   y+8(FP), R8
	MOVQ   z+16(FP), R9
	MOVQ   w+24(FP), SI
	MOVQ   eights+32(FP), CX
	XORQ   AX, AX
	TESTQ  CX, CX
	JZ     done
	CMPB   ·wide(SB), $0
	JNE    wide
	MOVSS  a+40(FP), X0
	MOVSS  b+44(FP), X1
	MOVSS  c+48(FP), X2
	SHUFPS $0, X0, X0
	SHUFPS $0, X1, X1
	SHUFPS $0, X2, X2
	SHLQ   $1, CX // fours

loop:
	MOVUPS (SI)(AX*1), X3
	MOVUPS (DI)(AX*1), X6
	MOVUPS (R8)(AX*1), X7
	MOVUPS (R9)(AX*1), X8
	MOVAPS X3, X4
	MOVAPS X3, X5
	MULPS  X0, X3
	MULPS  X1, X4
	MULPS  X2, X5
	ADDPS  X3, X6
	ADDPS  X4, X7
	ADDPS  X5, X8
	MOVUPS X6, (DI)(AX*1)
	MOVUPS X7, (R8)(AX*1)
	MOVUPS X8, (R9)(AX*1)
	ADDQ   $16, AX
	DECQ   CX
	JNZ    loop

done:
	RET

wide:
	VBROADCASTSS a+40(FP), Y0
	VBROADCASTSS b+44(FP), Y1
	VBROADCASTSS c+48(FP), Y2

wideloop:
	VMOVUPS (SI)(AX*1), Y3
	VMULPS  Y3, Y0, Y4
	VMULPS  Y3, Y1, Y5
	VMULPS  Y3, Y2, Y6
	VADDPS  (DI)(AX*1), Y4, Y4
	VADDPS  (R8)(AX*1), Y5, Y5
	VADDPS  (R9)(AX*1), Y6, Y6
	VMOVUPS Y4, (DI)(AX*1)
	VMOVUPS Y5, (R8)(AX*1)
	VMOVUPS Y6, (R9)(AX*1)
	ADDQ    $32, AX
	DECQ    CX
	JNZ     wideloop
	VZEROUPPER
	RET

// func around(dst, x, w *float32, eights, taps int)
TEXT ·around(SB), NOSPLIT, $0-40
	MOVQ  dst+0(FP), DI
	MOVQ  x+8(FP), SI
	MOVQ  w+16(FP), DX
	MOVQ  eights+24(FP), CX
	MOVQ  taps+32(FP), BX
	MOVQ  CX, R8
	SHLQ  $5, R8             // bytes from one tap's weights to the next
	TESTQ CX, CX
	JZ    done
	CMPB  ·wide(SB), $0
	JNE   wide
	SHLQ  $1, CX             // fours

outer:
	XORPS X0, X0
	MOVQ  SI, R9
	MOVQ  DX, R10
	MOVQ  BX, R11

inner:
	MOVUPS (R9), X1
	MOVUPS (R10), X2
	MULPS  X2, X1
	ADDPS  X1, X0
	ADDQ   $4, R9
	ADDQ   R8, R10
	DECQ   R11
	JNZ    inner
	MOVUPS X0, (DI)
	ADDQ   $16, DI
	ADDQ   $16, SI
	ADDQ   $16, DX
	DECQ   CX
	JNZ    outer

done:
	RET

wide:
	VXORPS Y0, Y0, Y0
	MOVQ   SI, R9
	MOVQ   DX, R10
	MOVQ   BX, R11

wideinner:
	VMOVUPS (R9), Y1
	VMULPS  (R10), Y1, Y1
	VADDPS  Y1, Y0, Y0
	ADDQ    $4, R9
	ADDQ    R8, R10
	DECQ    R11
	JNZ     wideinner
	VMOVUPS Y0, (DI)
	ADDQ    $32, DI
	ADDQ    $32, SI
	ADDQ    $32, DX
	DECQ    CX
	JNZ     wide
	VZEROUPPER
	RET

DATA rootHalf<>+0(SB)/8, $0x3f3504f33f3504f3 // √½
DATA rootHalf<>+8(SB)/8, $0x3f3504f33f3504f3
DATA rootHalf<>+16(SB)/8, $0x3f3504f33f3504f3
DATA rootHalf<>+24(SB)/8, $0x3f3504f33f3504f3
GLOBL rootHalf<>(SB), RODATA|NOPTR, $32
DATA one<>+0(SB)/8, $0x3f8000003f800000 // 1
DATA one<>+8(SB)/8, $0x3f8000003f800000
DATA one<>+16(SB)/8, $0x3f8000003f800000
DATA one<>+24(SB)/8, $0x3f8000003f800000
GLOBL one<>(SB), RODATA|NOPTR, $32
DATA log0<>+0(SB)/8, $0x3fb8aa393fb8aa39 // logOf[0]
DATA log0<>+8(SB)/8, $0x3fb8aa393fb8aa39
DATA log0<>+16(SB)/8, $0x3fb8aa393fb8aa39
DATA log0<>+24(SB)/8, $0x3fb8aa393fb8aa39
GLOBL log0<>(SB), RODATA|NOPTR, $32
DATA log1<>+0(SB)/8, $0xbf38aadcbf38aadc // logOf[1]
DATA log1<>+8(SB)/8, $0xbf38aadcbf38aadc
DATA log1<>+16(SB)/8, $0xbf38aadcbf38aadc
DATA log1<>+24(SB)/8, $0xbf38aadcbf38aadc
GLOBL log1<>(SB), RODATA|NOPTR, $32
DATA log2<>+0(SB)/8, $0x3ef63db03ef63db0 // logOf[2]
DATA log2<>+8(SB)/8, $0x3ef63db03ef63db0
DATA log2<>+16(SB)/8, $0x3ef63db03ef63db0
DATA log2<>+24(SB)/8, $0x3ef63db03ef63db0
GLOBL log2<>(SB), RODATA|NOPTR, $32
DATA log3<>+0(SB)/8, $0xbeb85d78beb85d78 // logOf[3]
DATA log3<>+8(SB)/8, $0xbeb85d78beb85d78
DATA log3<>+16(SB)/8, $0xbeb85d78beb85d78
DATA log3<>+24(SB)/8, $0xbeb85d78beb85d78
GLOBL log3<>(SB), RODATA|NOPTR, $32
DATA log4<>+0(SB)/8, $0x3e92cb763e92cb76 // logOf[4]
DATA log4<>+8(SB)/8, $0x3e92cb763e92cb76
DATA log4<>+16(SB)/8, $0x3e92cb763e92cb76
DATA log4<>+24(SB)/8, $0x3e92cb763e92cb76
GLOBL log4<>(SB), RODATA|NOPTR, $32
DATA log5<>+0(SB)/8, $0xbe800806be800806 // logOf[5]
DATA log5<>+8(SB)/8, $0xbe800806be800806
DATA log5<>+16(SB)/8, $0xbe800806be800806
DATA log5<>+24(SB)/8, $0xbe800806be800806
GLOBL log5<>(SB), RODATA|NOPTR, $32
DATA log6<>+0(SB)/8, $0x3e72915b3e72915b // logOf[6]
DATA log6<>+8(SB)/8, $0x3e72915b3e72915b
DATA log6<>+16(SB)/8, $0x3e72915b3e72915b
DATA log6<>+24(SB)/8, $0x3e72915b3e72915b
GLOBL log6<>(SB), RODATA|NOPTR, $32
DATA log7<>+0(SB)/8, $0xbe15417ebe15417e // logOf[7]
DATA log7<>+8(SB)/8, $0xbe15417ebe15417e
DATA log7<>+16(SB)/8, $0xbe15417ebe15417e
DATA log7<>+24(SB)/8, $0xbe15417ebe15417e
GLOBL log7<>(SB), RODATA|NOPTR, $32
DATA exp0<>+0(SB)/8, $0x3f8000013f800001 // expOf[0]
DATA exp0<>+8(SB)/8, $0x3f8000013f800001
DATA exp0<>+16(SB)/8, $0x3f8000013f800001
DATA exp0<>+24(SB)/8, $0x3f8000013f800001
GLOBL exp0<>(SB), RODATA|NOPTR, $32
DATA exp1<>+0(SB)/8, $0x3f3172143f317214 // expOf[1]
DATA exp1<>+8(SB)/8, $0x3f3172143f317214
DATA exp1<>+16(SB)/8, $0x3f3172143f317214
DATA exp1<>+24(SB)/8, $0x3f3172143f317214
GLOBL exp1<>(SB), RODATA|NOPTR, $32
DATA exp2<>+0(SB)/8, $0x3e75fc8c3e75fc8c // expOf[2]
DATA exp2<>+8(SB)/8, $0x3e75fc8c3e75fc8c
DATA exp2<>+16(SB)/8, $0x3e75fc8c3e75fc8c
DATA exp2<>+24(SB)/8, $0x3e75fc8c3e75fc8c
GLOBL exp2<>(SB), RODATA|NOPTR, $32
DATA exp3<>+0(SB)/8, $0x3d635b723d635b72 // expOf[3]
DATA exp3<>+8(SB)/8, $0x3d635b723d635b72
DATA exp3<>+16(SB)/8, $0x3d635b723d635b72
DATA exp3<>+24(SB)/8, $0x3d635b723d635b72
GLOBL exp3<>(SB), RODATA|NOPTR, $32
DATA exp4<>+0(SB)/8, $0x3c1e862a3c1e862a // expOf[4]
DATA exp4<>+8(SB)/8, $0x3c1e862a3c1e862a
DATA exp4<>+16(SB)/8, $0x3c1e862a3c1e862a
DATA exp4<>+24(SB)/8, $0x3c1e862a3c1e862a
GLOBL exp4<>(SB), RODATA|NOPTR, $32
DATA exp5<>+0(SB)/8, $0x3aae04733aae0473 // expOf[5]
DATA exp5<>+8(SB)/8, $0x3aae04733aae0473
DATA exp5<>+16(SB)/8, $0x3aae04733aae0473
DATA exp5<>+24(SB)/8, $0x3aae04733aae0473
GLOBL exp5<>(SB), RODATA|NOPTR, $32

// func power(dst, x, gain, add, exponent, less *float32, eights int)
TEXT ·power(SB), NOSPLIT, $0-56
	MOVQ   dst+0(FP), DI
	MOVQ   x+8(FP), SI
	MOVQ   gain+16(FP), R8
	MOVQ   add+24(FP), R9
	MOVQ   exponent+32(FP), R10
	MOVQ   less+40(FP), R11
	MOVQ   eights+48(FP), CX
	XORQ   AX, AX
	TESTQ  CX, CX
	JZ     done
	CMPB   ·wide(SB), $0
	JNE    wide
	SHLQ   $1, CX // fours
	MOVAPS log0<>(SB), X10
	MOVAPS log1<>(SB), X11
	MOVAPS log2<>(SB), X12
	MOVAPS log3<>(SB), X13
	MOVAPS exp0<>(SB), X14
	MOVAPS exp1<>(SB), X9

loop:
	MOVUPS (SI)(AX*1), X0
	MOVUPS (R8)(AX*1), X1
	MOVUPS (R9)(AX*1), X2
	MULPS  X1, X0
	ADDPS  X2, X0

	// exponent e in X1, mantissa less 1, f, in X0
	MOVAPS   X0, X1
	PSUBL    rootHalf<>(SB), X1
	PSRAL    $23, X1
	MOVAPS   X1, X2
	PSLLL    $23, X2
	PSUBL    X2, X0
	SUBPS    one<>(SB), X0
	CVTPL2PS X1, X1

	MOVAPS X0, X2
	MULPS  X0, X2 // f²
	MOVAPS X13, X3
	MULPS  X0, X3
	ADDPS  X12, X3
	MULPS  X2, X3
	MOVAPS X11, X4
	MULPS  X0, X4
	ADDPS  X10, X4
	ADDPS  X4, X3 // low
	MOVAPS log7<>(SB), X5
	MULPS  X0, X5
	ADDPS  log6<>(SB), X5
	MULPS  X2, X5
	MOVAPS log5<>(SB), X6
	MULPS  X0, X6
	ADDPS  log4<>(SB), X6
	ADDPS  X6, X5 // high
	MULPS  X2, X2
	MULPS  X2, X5
	ADDPS  X3, X5
	MULPS  X0, X5
	ADDPS  X1, X5

	MOVUPS   (R10)(AX*1), X1
	MULPS    X1, X5
	CVTPS2PL X5, X7 // to the nearest, of two the even one
	CVTPL2PS X7, X6
	SUBPS    X6, X5 // r
	MOVAPS   X5, X2
	MULPS    X5, X2 // r²
	MOVAPS   exp5<>(SB), X3
	MULPS    X5, X3
	ADDPS    exp4<>(SB), X3
	MULPS    X2, X3
	MOVAPS   exp3<>(SB), X4
	MULPS    X5, X4
	ADDPS    exp2<>(SB), X4
	ADDPS    X4, X3
	MULPS    X2, X3
	MULPS    X9, X5
	ADDPS    X14, X5
	ADDPS    X5, X3
	PSLLL    $23, X7
	PADDL    X7, X3

	MOVUPS (R11)(AX*1), X1
	SUBPS  X1, X3
	MOVUPS X3, (DI)(AX*1)
	ADDQ   $16, AX
	DECQ   CX
	JNZ    loop

done:
	RET

wide:
	VMOVUPS log0<>(SB), Y10
	VMOVUPS log1<>(SB), Y11
	VMOVUPS log2<>(SB), Y12
	VMOVUPS log3<>(SB), Y13
	VMOVUPS exp0<>(SB), Y14
	VMOVUPS exp1<>(SB), Y9
	VMOVUPS rootHalf<>(SB), Y15
	VMOVUPS one<>(SB), Y8

wideloop:
	VMOVUPS (SI)(AX*1), Y0
	VMULPS  (R8)(AX*1), Y0, Y0
	VADDPS  (R9)(AX*1), Y0, Y0

	// exponent e in Y1, mantissa less 1, f, in Y0
	VPSUBD    Y15, Y0, Y1
	VPSRAD    $23, Y1, Y1
	VPSLLD    $23, Y1, Y2
	VPSUBD    Y2, Y0, Y0
	VSUBPS    Y8, Y0, Y0
	VCVTDQ2PS Y1, Y1

	VMULPS Y0, Y0, Y2 // f²
	VMULPS Y0, Y13, Y3
	VADDPS Y12, Y3, Y3
	VMULPS Y2, Y3, Y3
	VMULPS Y0, Y11, Y4
	VADDPS Y10, Y4, Y4
	VADDPS Y4, Y3, Y3 // low
	VMULPS log7<>(SB), Y0, Y5
	VADDPS log6<>(SB), Y5, Y5
	VMULPS Y2, Y5, Y5
	VMULPS log5<>(SB), Y0, Y6
	VADDPS log4<>(SB), Y6, Y6
	VADDPS Y6, Y5, Y5 // high
	VMULPS Y2, Y2, Y2
	VMULPS Y2, Y5, Y5
	VADDPS Y3, Y5, Y5
	VMULPS Y0, Y5, Y5
	VADDPS Y1, Y5, Y5

	VMULPS    (R10)(AX*1), Y5, Y5
	VCVTPS2DQ Y5, Y7 // to the nearest, of two the even one
	VCVTDQ2PS Y7, Y6
	VSUBPS    Y6, Y5, Y5 // r
	VMULPS    Y5, Y5, Y2 // r²
	VMULPS    exp5<>(SB), Y5, Y3
	VADDPS    exp4<>(SB), Y3, Y3
	VMULPS    Y2, Y3, Y3
	VMULPS    exp3<>(SB), Y5, Y4
	VADDPS    exp2<>(SB), Y4, Y4
	VADDPS    Y4, Y3, Y3
	VMULPS    Y2, Y3, Y3
	VMULPS    Y9, Y5, Y5
	VADDPS    Y14, Y5, Y5
	VADDPS    Y5, Y3, Y3
	VPSLLD    $23, Y7, Y7
	VPADDD    Y7, Y3, Y3

	VSUBPS  (R11)(AX*1), Y3, Y3
	VMOVUPS Y3, (DI)(AX*1)
	ADDQ    $32, AX
	DECQ    CX
	JNZ     wideloop
	VZEROUPPER
	RET
