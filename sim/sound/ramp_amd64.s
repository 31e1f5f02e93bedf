#include "textflag.h"

// func rampByFour(dst, src *float32, eights int, gains *[8]float32, step float32)
TEXT ·rampByFour(SB), NOSPLIT, $0-36
	MOVQ   dst+0(FP), DI
	MOVQ   src+8(FP), SI
	MOVQ   eights+16(FP), CX
	MOVQ   gains+24(FP), DX
	MOVSS  step+32(FP), X2
	SHUFPS $0, X2, X2
	MOVUPS (DX), X0
	MOVUPS 16(DX), X1
	TESTQ  CX, CX
	JZ     done

loop:
	MOVUPS (SI), X3
	MOVUPS 16(SI), X4
	MULPS  X0, X3
	MULPS  X1, X4
	MOVUPS (DI), X5
	MOVUPS 16(DI), X6
	ADDPS  X3, X5
	ADDPS  X4, X6
	MOVUPS X5, (DI)
	MOVUPS X6, 16(DI)
	ADDPS  X2, X0
	ADDPS  X2, X1
	ADDQ   $32, SI
	ADDQ   $32, DI
	DECQ   CX
	JNZ    loop

done:
	RET

// func rampByEight(dst, src *float32, eights int, gains *[8]float32, step float32)
TEXT ·rampByEight(SB), NOSPLIT, $0-36
	MOVQ         dst+0(FP), DI
	MOVQ         src+8(FP), SI
	MOVQ         eights+16(FP), CX
	MOVQ         gains+24(FP), DX
	VBROADCASTSS step+32(FP), Y2
	VMOVUPS      (DX), Y0
	TESTQ        CX, CX
	JZ           done

loop:
	VMULPS  (SI), Y0, Y1
	VADDPS  (DI), Y1, Y1
	VMOVUPS Y1, (DI)
	VADDPS  Y2, Y0, Y0
	ADDQ    $32, SI
	ADDQ    $32, DI
	DECQ    CX
	JNZ     loop

done:
	VZEROUPPER
	RET

// upTo16 is 0 to 15.
DATA upTo16<>+0(SB)/4, $0x00000000
DATA upTo16<>+4(SB)/4, $0x3f800000
DATA upTo16<>+8(SB)/4, $0x40000000
DATA upTo16<>+12(SB)/4, $0x40400000
DATA upTo16<>+16(SB)/4, $0x40800000
DATA upTo16<>+20(SB)/4, $0x40a00000
DATA upTo16<>+24(SB)/4, $0x40c00000
DATA upTo16<>+28(SB)/4, $0x40e00000
DATA upTo16<>+32(SB)/4, $0x41000000
DATA upTo16<>+36(SB)/4, $0x41100000
DATA upTo16<>+40(SB)/4, $0x41200000
DATA upTo16<>+44(SB)/4, $0x41300000
DATA upTo16<>+48(SB)/4, $0x41400000
DATA upTo16<>+52(SB)/4, $0x41500000
DATA upTo16<>+56(SB)/4, $0x41600000
DATA upTo16<>+60(SB)/4, $0x41700000
GLOBL upTo16<>(SB), RODATA, $64

// func rampShortByFour(dst *float32, src *int16, sixteens int, gain, step float32)
TEXT ·rampShortByFour(SB), NOSPLIT, $0-32
	MOVQ   dst+0(FP), DI
	MOVQ   src+8(FP), SI
	MOVQ   sixteens+16(FP), CX
	MOVSS  gain+24(FP), X8
	SHUFPS $0, X8, X8
	MOVSS  step+28(FP), X4
	SHUFPS $0, X4, X4
	MOVUPS upTo16<>+0(SB), X0
	MOVUPS upTo16<>+16(SB), X1
	MOVUPS upTo16<>+32(SB), X2
	MOVUPS upTo16<>+48(SB), X3
	MULPS  X4, X0
	MULPS  X4, X1
	MULPS  X4, X2
	MULPS  X4, X3
	ADDPS  X8, X0
	ADDPS  X8, X1
	ADDPS  X8, X2
	ADDPS  X8, X3
	ADDPS  X4, X4
	ADDPS  X4, X4
	ADDPS  X4, X4
	ADDPS  X4, X4
	TESTQ  CX, CX
	JZ     done

loop:
	MOVOU     0(SI), X8
	MOVO      X8, X9
	PUNPCKLWL X8, X8
	PUNPCKHWL X9, X9
	PSRAL     $16, X8
	PSRAL     $16, X9
	CVTPL2PS  X8, X8
	CVTPL2PS  X9, X9
	MULPS     X0, X8
	MULPS     X1, X9
	MOVUPS    0(DI), X10
	MOVUPS    16(DI), X11
	ADDPS     X8, X10
	ADDPS     X9, X11
	MOVUPS    X10, 0(DI)
	MOVUPS    X11, 16(DI)
	ADDPS     X4, X0
	ADDPS     X4, X1
	MOVOU     16(SI), X8
	MOVO      X8, X9
	PUNPCKLWL X8, X8
	PUNPCKHWL X9, X9
	PSRAL     $16, X8
	PSRAL     $16, X9
	CVTPL2PS  X8, X8
	CVTPL2PS  X9, X9
	MULPS     X2, X8
	MULPS     X3, X9
	MOVUPS    32(DI), X10
	MOVUPS    48(DI), X11
	ADDPS     X8, X10
	ADDPS     X9, X11
	MOVUPS    X10, 32(DI)
	MOVUPS    X11, 48(DI)
	ADDPS     X4, X2
	ADDPS     X4, X3
	ADDQ      $32, SI
	ADDQ      $64, DI
	DECQ      CX
	JNZ       loop

done:
	RET

// func rampShortByEight(dst *float32, src *int16, sixteens int, gain, step float32)
TEXT ·rampShortByEight(SB), NOSPLIT, $0-32
	MOVQ         dst+0(FP), DI
	MOVQ         src+8(FP), SI
	MOVQ         sixteens+16(FP), CX
	VBROADCASTSS gain+24(FP), Y3
	VBROADCASTSS step+28(FP), Y2
	VMULPS       upTo16<>+0(SB), Y2, Y0
	VMULPS       upTo16<>+32(SB), Y2, Y1
	VADDPS       Y3, Y0, Y0
	VADDPS       Y3, Y1, Y1
	VADDPS       Y2, Y2, Y2
	VADDPS       Y2, Y2, Y2
	VADDPS       Y2, Y2, Y2
	VADDPS       Y2, Y2, Y2
	TESTQ        CX, CX
	JZ           done

loop:
	VPMOVSXWD (SI), Y3
	VPMOVSXWD 16(SI), Y4
	VCVTDQ2PS Y3, Y3
	VCVTDQ2PS Y4, Y4
	VMULPS    Y0, Y3, Y3
	VMULPS    Y1, Y4, Y4
	VADDPS    (DI), Y3, Y3
	VADDPS    32(DI), Y4, Y4
	VMOVUPS   Y3, (DI)
	VMOVUPS   Y4, 32(DI)
	VADDPS    Y2, Y0, Y0
	VADDPS    Y2, Y1, Y1
	ADDQ      $32, SI
	ADDQ      $64, DI
	DECQ      CX
	JNZ       loop

done:
	VZEROUPPER
	RET

// func rampShortBySixteen(dst *float32, src *int16, sixteens int, gain, step float32)
TEXT ·rampShortBySixteen(SB), NOSPLIT, $0-32
	MOVQ         dst+0(FP), DI
	MOVQ         src+8(FP), SI
	MOVQ         sixteens+16(FP), CX
	VBROADCASTSS gain+24(FP), Z3
	VBROADCASTSS step+28(FP), Z2
	VMULPS       upTo16<>+0(SB), Z2, Z0
	VADDPS       Z3, Z0, Z0
	VADDPS       Z2, Z2, Z2
	VADDPS       Z2, Z2, Z2
	VADDPS       Z2, Z2, Z2
	VADDPS       Z2, Z2, Z2
	TESTQ        CX, CX
	JZ           done

loop:
	VPMOVSXWD (SI), Z3
	VCVTDQ2PS Z3, Z3
	VMULPS    Z0, Z3, Z3
	VADDPS    (DI), Z3, Z3
	VMOVUPS   Z3, (DI)
	VADDPS    Z2, Z0, Z0
	ADDQ      $32, SI
	ADDQ      $64, DI
	DECQ      CX
	JNZ       loop

done:
	VZEROUPPER
	RET
