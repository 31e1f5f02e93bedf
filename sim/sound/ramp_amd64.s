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

// func rampShortByFour(dst *float32, src *int16, eights int, gains *[8]float32, step float32)
TEXT ·rampShortByFour(SB), NOSPLIT, $0-36
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
	MOVOU     (SI), X3
	MOVO      X3, X4
	PUNPCKLWL X3, X3
	PUNPCKHWL X4, X4
	PSRAL     $16, X3
	PSRAL     $16, X4
	CVTPL2PS  X3, X3
	CVTPL2PS  X4, X4
	MULPS     X0, X3
	MULPS     X1, X4
	MOVUPS    (DI), X5
	MOVUPS    16(DI), X6
	ADDPS     X3, X5
	ADDPS     X4, X6
	MOVUPS    X5, (DI)
	MOVUPS    X6, 16(DI)
	ADDPS     X2, X0
	ADDPS     X2, X1
	ADDQ      $16, SI
	ADDQ      $32, DI
	DECQ      CX
	JNZ       loop

done:
	RET

// func rampShortByEight(dst *float32, src *int16, eights int, gains *[8]float32, step float32)
TEXT ·rampShortByEight(SB), NOSPLIT, $0-36
	MOVQ         dst+0(FP), DI
	MOVQ         src+8(FP), SI
	MOVQ         eights+16(FP), CX
	MOVQ         gains+24(FP), DX
	VBROADCASTSS step+32(FP), Y2
	VMOVUPS      (DX), Y0
	TESTQ        CX, CX
	JZ           done

loop:
	VPMOVSXWD (SI), Y1
	VCVTDQ2PS Y1, Y1
	VMULPS    Y0, Y1, Y1
	VADDPS    (DI), Y1, Y1
	VMOVUPS   Y1, (DI)
	VADDPS    Y2, Y0, Y0
	ADDQ      $16, SI
	ADDQ      $32, DI
	DECQ      CX
	JNZ       loop

done:
	VZEROUPPER
	RET
