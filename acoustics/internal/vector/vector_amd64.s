#include "textflag.h"

// Six sums stand in the first six registers, two vectors of a block for each of three sounds.

// func fillWide(x, a, weights *float32, rows *int32, reach *Reach, blocks int)
TEXT ·fillWide(SB), NOSPLIT, $0-48
	MOVQ x+0(FP), DI
	MOVQ a+8(FP), R9
	MOVQ weights+16(FP), DX
	MOVQ rows+24(FP), SI
	MOVQ reach+32(FP), R12
	MOVQ blocks+40(FP), CX

two:
	CMPQ    CX, $2
	JLT     one
	MOVLQSX (R12), R10       // source
	MOVLQSX 4(R12), R11      // past the last
	MOVLQSX 8(R12), R13
	MOVLQSX 12(R12), R8
	CMPQ    R13, R10
	CMOVQLT R13, R10
	CMPQ    R8, R11
	CMOVQGT R8, R11
	VXORPS  Y0, Y0, Y0
	VXORPS  Y1, Y1, Y1
	VXORPS  Y2, Y2, Y2
	VXORPS  Y3, Y3, Y3
	CMPQ    R10, R11
	JGE     storetwo

sourcetwo:
	MOVLQSX      (SI)(R10*4), BX
	VBROADCASTSS (R9)(R10*4), Y8
	VMULPS       (DX)(BX*4), Y8, Y4
	VMULPS       32(DX)(BX*4), Y8, Y5
	VMULPS       64(DX)(BX*4), Y8, Y6
	VMULPS       96(DX)(BX*4), Y8, Y7
	VADDPS       Y4, Y0, Y0
	VADDPS       Y5, Y1, Y1
	VADDPS       Y6, Y2, Y2
	VADDPS       Y7, Y3, Y3
	INCQ         R10
	CMPQ         R10, R11
	JLT          sourcetwo

storetwo:
	VMOVUPS Y0, (DI)
	VMOVUPS Y1, 32(DI)
	VMOVUPS Y2, 64(DI)
	VMOVUPS Y3, 96(DI)
	ADDQ    $128, DI
	ADDQ    $128, DX
	ADDQ    $16, R12
	SUBQ    $2, CX
	JMP     two

one:
	TESTQ   CX, CX
	JZ      done
	MOVLQSX (R12), R10
	MOVLQSX 4(R12), R11
	VXORPS  Y0, Y0, Y0
	VXORPS  Y1, Y1, Y1
	CMPQ    R10, R11
	JGE     store

source:
	MOVLQSX      (SI)(R10*4), BX
	VBROADCASTSS (R9)(R10*4), Y8
	VMULPS       (DX)(BX*4), Y8, Y6
	VMULPS       32(DX)(BX*4), Y8, Y7
	VADDPS       Y6, Y0, Y0
	VADDPS       Y7, Y1, Y1
	INCQ         R10
	CMPQ         R10, R11
	JLT          source

store:
	VMOVUPS Y0, (DI)
	VMOVUPS Y1, 32(DI)

done:
	VZEROUPPER
	RET

// func fillWidest(x, a, weights *float32, rows *int32, reach *Reach, blocks int)
TEXT ·fillWidest(SB), NOSPLIT, $0-48
	MOVQ x+0(FP), DI
	MOVQ a+8(FP), R9
	MOVQ weights+16(FP), DX
	MOVQ rows+24(FP), SI
	MOVQ reach+32(FP), R12
	MOVQ blocks+40(FP), CX

five:
	CMPQ    CX, $5
	JLT     one
	MOVLQSX (R12), R10
	MOVLQSX 4(R12), R11
	MOVLQSX 8(R12), R13
	MOVLQSX 12(R12), R8
	CMPQ    R13, R10
	CMOVQLT R13, R10
	CMPQ    R8, R11
	CMOVQGT R8, R11
	MOVLQSX 16(R12), R13
	MOVLQSX 20(R12), R8
	CMPQ    R13, R10
	CMOVQLT R13, R10
	CMPQ    R8, R11
	CMOVQGT R8, R11
	MOVLQSX 24(R12), R13
	MOVLQSX 28(R12), R8
	CMPQ    R13, R10
	CMOVQLT R13, R10
	CMPQ    R8, R11
	CMOVQGT R8, R11
	MOVLQSX 32(R12), R13
	MOVLQSX 36(R12), R8
	CMPQ    R13, R10
	CMOVQLT R13, R10
	CMPQ    R8, R11
	CMOVQGT R8, R11
	VXORPS  Y0, Y0, Y0
	VXORPS  Y1, Y1, Y1
	VXORPS  Y2, Y2, Y2
	VXORPS  Y3, Y3, Y3
	VXORPS  Y4, Y4, Y4
	CMPQ    R10, R11
	JGE     storefive

sourcefive:
	MOVLQSX      (SI)(R10*4), BX
	VBROADCASTSS (R9)(R10*4), Z8
	VMULPS       (DX)(BX*4), Z8, Z9
	VMULPS       64(DX)(BX*4), Z8, Z10
	VMULPS       128(DX)(BX*4), Z8, Z11
	VMULPS       192(DX)(BX*4), Z8, Z12
	VMULPS       256(DX)(BX*4), Z8, Z13
	VADDPS       Z9, Z0, Z0
	VADDPS       Z10, Z1, Z1
	VADDPS       Z11, Z2, Z2
	VADDPS       Z12, Z3, Z3
	VADDPS       Z13, Z4, Z4
	INCQ         R10
	CMPQ         R10, R11
	JLT          sourcefive

storefive:
	VMOVUPS Z0, (DI)
	VMOVUPS Z1, 64(DI)
	VMOVUPS Z2, 128(DI)
	VMOVUPS Z3, 192(DI)
	VMOVUPS Z4, 256(DI)
	ADDQ    $320, DI
	ADDQ    $320, DX
	ADDQ    $40, R12
	SUBQ    $5, CX
	JMP     five

one:
	TESTQ   CX, CX
	JZ      done
	MOVLQSX (R12), R10
	MOVLQSX 4(R12), R11
	VXORPS  Y0, Y0, Y0
	CMPQ    R10, R11
	JGE     store

source:
	MOVLQSX      (SI)(R10*4), BX
	VBROADCASTSS (R9)(R10*4), Z8
	VMULPS       (DX)(BX*4), Z8, Z9
	VADDPS       Z9, Z0, Z0
	INCQ         R10
	CMPQ         R10, R11
	JLT          source

store:
	VMOVUPS Z0, (DI)
	ADDQ    $64, DI
	ADDQ    $64, DX
	ADDQ    $8, R12
	DECQ    CX
	JMP     one

done:
	VZEROUPPER
	RET

// func fill3Wide(x, y, z, a, b, c, weights *float32, rows *int32, reach *Reach, blocks int)
TEXT ·fill3Wide(SB), NOSPLIT, $0-80
	MOVQ x+0(FP), DI
	MOVQ y+8(FP), R8
	MOVQ z+16(FP), AX
	MOVQ a+24(FP), R9
	MOVQ b+32(FP), R13
	MOVQ c+40(FP), R15
	MOVQ weights+48(FP), DX
	MOVQ rows+56(FP), SI
	MOVQ reach+64(FP), R12
	MOVQ blocks+72(FP), CX

block:
	MOVLQSX (R12), R10
	MOVLQSX 4(R12), R11
	VXORPS  Y0, Y0, Y0
	VXORPS  Y1, Y1, Y1
	VXORPS  Y2, Y2, Y2
	VXORPS  Y3, Y3, Y3
	VXORPS  Y4, Y4, Y4
	VXORPS  Y5, Y5, Y5
	CMPQ    R10, R11
	JGE     store

source:
	MOVLQSX      (SI)(R10*4), BX
	VMOVUPS      (DX)(BX*4), Y6
	VMOVUPS      32(DX)(BX*4), Y7
	VBROADCASTSS (R9)(R10*4), Y8
	VBROADCASTSS (R13)(R10*4), Y9
	VBROADCASTSS (R15)(R10*4), Y10
	VMULPS       Y6, Y8, Y11
	VMULPS       Y7, Y8, Y12
	VMULPS       Y6, Y9, Y13
	VMULPS       Y7, Y9, Y14
	VMULPS       Y6, Y10, Y6
	VMULPS       Y7, Y10, Y7
	VADDPS       Y11, Y0, Y0
	VADDPS       Y12, Y1, Y1
	VADDPS       Y13, Y2, Y2
	VADDPS       Y14, Y3, Y3
	VADDPS       Y6, Y4, Y4
	VADDPS       Y7, Y5, Y5
	INCQ         R10
	CMPQ         R10, R11
	JLT          source

store:
	VMOVUPS Y0, (DI)
	VMOVUPS Y1, 32(DI)
	VMOVUPS Y2, (R8)
	VMOVUPS Y3, 32(R8)
	VMOVUPS Y4, (AX)
	VMOVUPS Y5, 32(AX)
	ADDQ    $64, DI
	ADDQ    $64, R8
	ADDQ    $64, AX
	ADDQ    $64, DX
	ADDQ    $8, R12
	DECQ    CX
	JNZ     block
	VZEROUPPER
	RET

// func fill3Widest(x, y, z, a, b, c, weights *float32, rows *int32, reach *Reach, blocks int)
TEXT ·fill3Widest(SB), NOSPLIT, $0-80
	MOVQ x+0(FP), DI
	MOVQ y+8(FP), R8
	MOVQ z+16(FP), AX
	MOVQ a+24(FP), R9
	MOVQ b+32(FP), R13
	MOVQ c+40(FP), R15
	MOVQ weights+48(FP), DX
	MOVQ rows+56(FP), SI
	MOVQ reach+64(FP), R12
	MOVQ blocks+72(FP), CX

two:
	CMPQ    CX, $2
	JLT     one
	MOVLQSX (R12), R10
	MOVLQSX 8(R12), BX
	CMPQ    BX, R10
	CMOVQLT BX, R10
	MOVLQSX 4(R12), R11
	MOVLQSX 12(R12), BX
	CMPQ    BX, R11
	CMOVQGT BX, R11
	VXORPS  Y0, Y0, Y0
	VXORPS  Y1, Y1, Y1
	VXORPS  Y2, Y2, Y2
	VXORPS  Y3, Y3, Y3
	VXORPS  Y4, Y4, Y4
	VXORPS  Y5, Y5, Y5
	CMPQ    R10, R11
	JGE     storetwo

sourcetwo:
	MOVLQSX      (SI)(R10*4), BX
	VMOVUPS      (DX)(BX*4), Z6
	VMOVUPS      64(DX)(BX*4), Z7
	VBROADCASTSS (R9)(R10*4), Z8
	VBROADCASTSS (R13)(R10*4), Z9
	VBROADCASTSS (R15)(R10*4), Z10
	VMULPS       Z6, Z8, Z11
	VMULPS       Z7, Z8, Z12
	VMULPS       Z6, Z9, Z13
	VMULPS       Z7, Z9, Z14
	VMULPS       Z6, Z10, Z6
	VMULPS       Z7, Z10, Z7
	VADDPS       Z11, Z0, Z0
	VADDPS       Z12, Z1, Z1
	VADDPS       Z13, Z2, Z2
	VADDPS       Z14, Z3, Z3
	VADDPS       Z6, Z4, Z4
	VADDPS       Z7, Z5, Z5
	INCQ         R10
	CMPQ         R10, R11
	JLT          sourcetwo

storetwo:
	VMOVUPS Z0, (DI)
	VMOVUPS Z1, 64(DI)
	VMOVUPS Z2, (R8)
	VMOVUPS Z3, 64(R8)
	VMOVUPS Z4, (AX)
	VMOVUPS Z5, 64(AX)
	ADDQ    $128, DI
	ADDQ    $128, R8
	ADDQ    $128, AX
	ADDQ    $128, DX
	ADDQ    $16, R12
	SUBQ    $2, CX
	JMP     two

one:
	TESTQ   CX, CX
	JZ      done
	MOVLQSX (R12), R10
	MOVLQSX 4(R12), R11
	VXORPS  Y0, Y0, Y0
	VXORPS  Y2, Y2, Y2
	VXORPS  Y4, Y4, Y4
	CMPQ    R10, R11
	JGE     store

source:
	MOVLQSX      (SI)(R10*4), BX
	VMOVUPS      (DX)(BX*4), Z6
	VBROADCASTSS (R9)(R10*4), Z8
	VBROADCASTSS (R13)(R10*4), Z9
	VBROADCASTSS (R15)(R10*4), Z10
	VMULPS       Z6, Z8, Z11
	VMULPS       Z6, Z9, Z13
	VMULPS       Z6, Z10, Z6
	VADDPS       Z11, Z0, Z0
	VADDPS       Z13, Z2, Z2
	VADDPS       Z6, Z4, Z4
	INCQ         R10
	CMPQ         R10, R11
	JLT          source

store:
	VMOVUPS Z0, (DI)
	VMOVUPS Z2, (R8)
	VMOVUPS Z4, (AX)

done:
	VZEROUPPER
	RET

// func enterFours(dst *float32, power, transfer *float64, fours int, least, most float64)
TEXT ·enterFours(SB), NOSPLIT, $0-48
	MOVQ         dst+0(FP), DI
	MOVQ         power+8(FP), SI
	MOVQ         transfer+16(FP), DX
	MOVQ         fours+24(FP), CX
	VBROADCASTSD least+32(FP), Y4
	VBROADCASTSD most+40(FP), Y5
	XORQ         AX, AX

loop:
	VMOVUPD     (SI)(AX*2), Y0
	VMULPD      (DX)(AX*2), Y0, Y0
	VCMPPD      $29, Y4, Y0, Y1 // at least least; what is no number is not
	VMINPD      Y5, Y0, Y0
	VANDPD      Y1, Y0, Y0
	VCVTPD2PSY  Y0, X0
	VMOVUPS     X0, (DI)(AX*1)
	ADDQ        $16, AX
	DECQ        CX
	JNZ         loop
	VZEROUPPER
	RET

// func add2Wide(dst, a, b *float32, eights int)
TEXT ·add2Wide(SB), NOSPLIT, $0-32
	MOVQ dst+0(FP), DI
	MOVQ a+8(FP), SI
	MOVQ b+16(FP), DX
	MOVQ eights+24(FP), CX
	XORQ AX, AX

loop:
	VMOVUPS (SI)(AX*1), Y0
	VADDPS  (DX)(AX*1), Y0, Y0
	VMOVUPS Y0, (DI)(AX*1)
	ADDQ    $32, AX
	DECQ    CX
	JNZ     loop
	VZEROUPPER
	RET

// func add3Wide(dst, a, b, c *float32, eights int)
TEXT ·add3Wide(SB), NOSPLIT, $0-40
	MOVQ dst+0(FP), DI
	MOVQ a+8(FP), SI
	MOVQ b+16(FP), DX
	MOVQ c+24(FP), R8
	MOVQ eights+32(FP), CX
	XORQ AX, AX

loop:
	VMOVUPS (SI)(AX*1), Y0
	VADDPS  (DX)(AX*1), Y0, Y0
	VADDPS  (R8)(AX*1), Y0, Y0
	VMOVUPS Y0, (DI)(AX*1)
	ADDQ    $32, AX
	DECQ    CX
	JNZ     loop
	VZEROUPPER
	RET

// func faintWide(dst, e, quiet *float32, eights int)
TEXT ·faintWide(SB), NOSPLIT, $0-32
	MOVQ   dst+0(FP), DI
	MOVQ   e+8(FP), SI
	MOVQ   quiet+16(FP), DX
	MOVQ   eights+24(FP), CX
	VXORPS Y7, Y7, Y7
	XORQ   AX, AX

loop:
	VMOVUPS   (SI)(AX*1), Y0
	VMOVUPS   (DX)(AX*1), Y1
	VMOVUPS   (DI)(AX*1), Y2
	VADDPS    Y0, Y0, Y3
	VADDPS    Y1, Y0, Y4
	VDIVPS    Y4, Y3, Y3
	VSQRTPS   Y3, Y4
	VMULPS    Y4, Y3, Y3
	VMULPS    Y3, Y2, Y3
	VMAXPS    Y7, Y3, Y3
	VCMPPS    $1, Y1, Y0, Y4 // e < quiet
	VBLENDVPS Y4, Y3, Y2, Y2
	VMOVUPS   Y2, (DI)(AX*1)
	ADDQ      $32, AX
	DECQ      CX
	JNZ       loop
	VZEROUPPER
	RET

// func chooseWidest(rows *int32, level *float32, made *int32, blocks, count int, steps float32, highest int32) (most, least, greatest int32)
TEXT ·chooseWidest(SB), NOSPLIT, $0-60
	MOVQ         rows+0(FP), DI
	MOVQ         level+8(FP), SI
	MOVQ         made+16(FP), DX
	MOVQ         blocks+24(FP), CX
	MOVQ         count+32(FP), R9
	VBROADCASTSS log0<>(SB), Z10
	VBROADCASTSS log1<>(SB), Z11
	VBROADCASTSS log2<>(SB), Z12
	VBROADCASTSS log3<>(SB), Z13
	VBROADCASTSS log4<>(SB), Z16
	VBROADCASTSS log5<>(SB), Z17
	VBROADCASTSS log6<>(SB), Z18
	VBROADCASTSS log7<>(SB), Z19
	VBROADCASTSS rootHalf<>(SB), Z15
	VBROADCASTSS one<>(SB), Z8
	VBROADCASTSS steps+40(FP), Z20
	MOVL         highest+44(FP), AX
	VPBROADCASTD AX, Z21
	VPBROADCASTD R9, Z22
	VPSLLD       $4, Z22, Z23             // from the levels of one block to those of the next
	VPMULLD      counting<>(SB), Z22, Z22 // where those of each source begin
	MOVL         $0xffff8000, AX          // what counts of a power's bits
	VPBROADCASTD AX, Z24
	MOVL         $0x4000, AX              // the middle of the rest
	VPBROADCASTD AX, Z25
	MOVL         $0x3f000000, AX          // ½
	VPBROADCASTD AX, Z26
	VPXORD       Z27, Z27, Z27
	VPXORD       Z28, Z28, Z28            // most
	MOVQ         DI, R10
	MOVQ         CX, R11

level:
	VPANDD    (SI), Z24, Z0
	VPORD     Z25, Z0, Z0

	// the logarithm as in powerWidest
	VPSUBD     Z15, Z0, Z1
	VPSRAD     $23, Z1, Z1
	VPSLLD     $23, Z1, Z2
	VPSUBD     Z2, Z0, Z0
	VSUBPS     Z8, Z0, Z0
	VCVTDQ2PS  Z1, Z1
	VMULPS     Z0, Z0, Z2
	VMULPS     Z0, Z13, Z3
	VADDPS     Z12, Z3, Z3
	VMULPS     Z2, Z3, Z3
	VMULPS     Z0, Z11, Z4
	VADDPS     Z10, Z4, Z4
	VADDPS     Z4, Z3, Z3
	VMULPS     Z19, Z0, Z5
	VADDPS     Z18, Z5, Z5
	VMULPS     Z2, Z5, Z5
	VMULPS     Z17, Z0, Z6
	VADDPS     Z16, Z6, Z6
	VADDPS     Z6, Z5, Z5
	VMULPS     Z2, Z2, Z2
	VMULPS     Z2, Z5, Z5
	VADDPS     Z3, Z5, Z5
	VMULPS     Z0, Z5, Z5
	VADDPS     Z1, Z5, Z5
	VMULPS     Z20, Z5, Z5
	VADDPS     Z26, Z5, Z5
	VCVTTPS2DQ Z5, Z5
	VPMAXSD    Z27, Z5, Z5
	VPMINSD    Z21, Z5, Z5
	VPMAXSD    Z5, Z28, Z28
	VPADDD     Z22, Z5, Z5
	VMOVDQU32  Z5, (DI)
	VPADDD     Z23, Z22, Z22
	ADDQ       $64, SI
	ADDQ       $64, DI
	DECQ       CX
	JNZ        level

	MOVQ R10, DI
	MOVQ R11, CX
	SHLQ $2, CX  // fours

row:
	MOVL 0(DI), AX
	MOVL 4(DI), BX
	MOVL 8(DI), R8
	MOVL 12(DI), R9
	MOVL (DX)(AX*4), AX
	MOVL (DX)(BX*4), BX
	MOVL (DX)(R8*4), R8
	MOVL (DX)(R9*4), R9
	MOVL AX, 0(DI)
	MOVL BX, 4(DI)
	MOVL R8, 8(DI)
	MOVL R9, 12(DI)
	ADDQ $16, DI
	DECQ CX
	JNZ  row

	VMOVDQU32 (R10), Z29 // least
	VMOVDQA32 Z29, Z30   // greatest
	JMP       next

range:
	VPMINSD (R10), Z29, Z29
	VPMAXSD (R10), Z30, Z30

next:
	ADDQ $64, R10
	DECQ R11
	JNZ  range

	VEXTRACTI64X4 $1, Z28, Y0
	VMOVDQA32     Y28, Y1
	VPMAXSD       Y0, Y1, Y1
	VEXTRACTI128  $1, Y1, X0
	VPMAXSD       X0, X1, X1
	VPSHUFD       $0x4e, X1, X0
	VPMAXSD       X0, X1, X1
	VPSHUFD       $0xb1, X1, X0
	VPMAXSD       X0, X1, X1
	VMOVD         X1, AX
	MOVL          AX, most+48(FP)
	VEXTRACTI64X4 $1, Z29, Y0
	VMOVDQA32     Y29, Y1
	VPMINSD       Y0, Y1, Y1
	VEXTRACTI128  $1, Y1, X0
	VPMINSD       X0, X1, X1
	VPSHUFD       $0x4e, X1, X0
	VPMINSD       X0, X1, X1
	VPSHUFD       $0xb1, X1, X0
	VPMINSD       X0, X1, X1
	VMOVD         X1, AX
	MOVL          AX, least+52(FP)
	VEXTRACTI64X4 $1, Z30, Y0
	VMOVDQA32     Y30, Y1
	VPMAXSD       Y0, Y1, Y1
	VEXTRACTI128  $1, Y1, X0
	VPMAXSD       X0, X1, X1
	VPSHUFD       $0x4e, X1, X0
	VPMAXSD       X0, X1, X1
	VPSHUFD       $0xb1, X1, X0
	VPMAXSD       X0, X1, X1
	VMOVD         X1, AX
	MOVL          AX, greatest+56(FP)
	VZEROUPPER
	RET

DATA counting<>+0(SB)/4, $0
DATA counting<>+4(SB)/4, $1
DATA counting<>+8(SB)/4, $2
DATA counting<>+12(SB)/4, $3
DATA counting<>+16(SB)/4, $4
DATA counting<>+20(SB)/4, $5
DATA counting<>+24(SB)/4, $6
DATA counting<>+28(SB)/4, $7
DATA counting<>+32(SB)/4, $8
DATA counting<>+36(SB)/4, $9
DATA counting<>+40(SB)/4, $10
DATA counting<>+44(SB)/4, $11
DATA counting<>+48(SB)/4, $12
DATA counting<>+52(SB)/4, $13
DATA counting<>+56(SB)/4, $14
DATA counting<>+60(SB)/4, $15
GLOBL counting<>(SB), RODATA|NOPTR, $64

// func mostWide(x *float32, eights int) float32
TEXT ·mostWide(SB), NOSPLIT, $0-20
	MOVQ   x+0(FP), SI
	MOVQ   eights+8(FP), CX
	VXORPS Y0, Y0, Y0

loop:
	VMAXPS       (SI), Y0, Y0
	ADDQ         $32, SI
	DECQ         CX
	JNZ          loop
	VEXTRACTF128 $1, Y0, X1
	VMAXPS       X1, X0, X0
	VPERMILPS    $0x4e, X0, X1
	VMAXPS       X1, X0, X0
	VPERMILPS    $0xb1, X0, X1
	VMAXPS       X1, X0, X0
	VMOVSS       X0, ret+16(FP)
	VZEROUPPER
	RET

// func setMaskedWide(masked, edge, ratio, s, masker, k, quiet *float32, eights int, least float32)
TEXT ·setMaskedWide(SB), NOSPLIT, $0-68
	MOVQ         masked+0(FP), DI
	MOVQ         edge+8(FP), R8
	MOVQ         ratio+16(FP), R9
	MOVQ         s+24(FP), SI
	MOVQ         masker+32(FP), DX
	MOVQ         k+40(FP), R10
	MOVQ         quiet+48(FP), R11
	MOVQ         eights+56(FP), CX
	VBROADCASTSS least+64(FP), Y7
	XORQ         AX, AX

loop:
	VMOVUPS (DX)(AX*1), Y0
	VMULPS  (R10)(AX*1), Y0, Y1
	VADDPS  (R11)(AX*1), Y1, Y1
	VADDPS  Y1, Y0, Y2
	VMAXPS  (SI)(AX*1), Y7, Y3
	VDIVPS  Y3, Y1, Y3
	VMOVUPS Y1, (DI)(AX*1)
	VMOVUPS Y2, (R8)(AX*1)
	VMOVUPS Y3, (R9)(AX*1)
	ADDQ    $32, AX
	DECQ    CX
	JNZ     loop
	VZEROUPPER
	RET

// func partialWide(dst, s, masked, both, edge, rest, ratio, quiet *float32, eights int, least float32)
TEXT ·partialWide(SB), NOSPLIT, $0-76
	MOVQ         dst+0(FP), DI
	MOVQ         s+8(FP), SI
	MOVQ         masked+16(FP), DX
	MOVQ         both+24(FP), R8
	MOVQ         edge+32(FP), R9
	MOVQ         rest+40(FP), R10
	MOVQ         ratio+48(FP), R11
	MOVQ         quiet+56(FP), R12
	MOVQ         eights+64(FP), CX
	VBROADCASTSS least+72(FP), Y15
	VXORPS       Y14, Y14, Y14
	XORQ         AX, AX

loop:
	VMOVUPS (SI)(AX*1), Y0    // s
	VMOVUPS (DX)(AX*1), Y1    // masked
	VMOVUPS (R8)(AX*1), Y2    // both
	VMOVUPS (R9)(AX*1), Y3    // edge
	VMOVUPS (R10)(AX*1), Y4   // rest
	VMOVUPS (R12)(AX*1), Y5   // quiet

	// above the masked threshold
	VSUBPS Y5, Y3, Y6
	VMULPS (R11)(AX*1), Y6, Y6
	VSUBPS Y6, Y2, Y6

	// and below it
	VADDPS  Y0, Y0, Y7
	VADDPS  Y1, Y0, Y8
	VDIVPS  Y8, Y7, Y7
	VSQRTPS Y7, Y8
	VMULPS  Y8, Y7, Y7
	VMULPS  Y5, Y7, Y7
	VSUBPS  Y4, Y2, Y8
	VMULPS  Y8, Y7, Y7
	VSUBPS  Y4, Y3, Y8
	VDIVPS  Y8, Y7, Y7

	VCMPPS    $13, Y1, Y0, Y9  // s ≥ masked
	VBLENDVPS Y9, Y6, Y7, Y6
	VCMPPS    $14, Y15, Y0, Y9 // s > least
	VANDPS    Y9, Y6, Y6
	VMAXPS    Y14, Y6, Y6
	VMOVUPS   Y6, (DI)(AX*1)
	ADDQ      $32, AX
	DECQ      CX
	JNZ       loop
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

// func powerEights(dst, x, gain, add, exponent, less *float32, eights int)
TEXT ·powerEights(SB), NOSPLIT, $0-56
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

// func powerWidest(dst, x, gain, add, exponent, less *float32, sixteens int)
TEXT ·powerWidest(SB), NOSPLIT, $0-56
	MOVQ         dst+0(FP), DI
	MOVQ         x+8(FP), SI
	MOVQ         gain+16(FP), R8
	MOVQ         add+24(FP), R9
	MOVQ         exponent+32(FP), R10
	MOVQ         less+40(FP), R11
	MOVQ         sixteens+48(FP), CX
	XORQ         AX, AX
	VBROADCASTSS log0<>(SB), Z10
	VBROADCASTSS log1<>(SB), Z11
	VBROADCASTSS log2<>(SB), Z12
	VBROADCASTSS log3<>(SB), Z13
	VBROADCASTSS log4<>(SB), Z16
	VBROADCASTSS log5<>(SB), Z17
	VBROADCASTSS log6<>(SB), Z18
	VBROADCASTSS log7<>(SB), Z19
	VBROADCASTSS exp0<>(SB), Z14
	VBROADCASTSS exp1<>(SB), Z9
	VBROADCASTSS exp2<>(SB), Z20
	VBROADCASTSS exp3<>(SB), Z21
	VBROADCASTSS exp4<>(SB), Z22
	VBROADCASTSS exp5<>(SB), Z23
	VBROADCASTSS rootHalf<>(SB), Z15
	VBROADCASTSS one<>(SB), Z8

loop:
	VMOVUPS (SI)(AX*1), Z0
	VMULPS  (R8)(AX*1), Z0, Z0
	VADDPS  (R9)(AX*1), Z0, Z0

	// exponent e in Z1, mantissa less 1, f, in Z0
	VPSUBD    Z15, Z0, Z1
	VPSRAD    $23, Z1, Z1
	VPSLLD    $23, Z1, Z2
	VPSUBD    Z2, Z0, Z0
	VSUBPS    Z8, Z0, Z0
	VCVTDQ2PS Z1, Z1

	VMULPS Z0, Z0, Z2 // f²
	VMULPS Z0, Z13, Z3
	VADDPS Z12, Z3, Z3
	VMULPS Z2, Z3, Z3
	VMULPS Z0, Z11, Z4
	VADDPS Z10, Z4, Z4
	VADDPS Z4, Z3, Z3 // low
	VMULPS Z19, Z0, Z5
	VADDPS Z18, Z5, Z5
	VMULPS Z2, Z5, Z5
	VMULPS Z17, Z0, Z6
	VADDPS Z16, Z6, Z6
	VADDPS Z6, Z5, Z5 // high
	VMULPS Z2, Z2, Z2
	VMULPS Z2, Z5, Z5
	VADDPS Z3, Z5, Z5
	VMULPS Z0, Z5, Z5
	VADDPS Z1, Z5, Z5

	VMULPS    (R10)(AX*1), Z5, Z5
	VCVTPS2DQ Z5, Z7 // to the nearest, of two the even one
	VCVTDQ2PS Z7, Z6
	VSUBPS    Z6, Z5, Z5 // r
	VMULPS    Z5, Z5, Z2 // r²
	VMULPS    Z23, Z5, Z3
	VADDPS    Z22, Z3, Z3
	VMULPS    Z2, Z3, Z3
	VMULPS    Z21, Z5, Z4
	VADDPS    Z20, Z4, Z4
	VADDPS    Z4, Z3, Z3
	VMULPS    Z2, Z3, Z3
	VMULPS    Z9, Z5, Z5
	VADDPS    Z14, Z5, Z5
	VADDPS    Z5, Z3, Z3
	VPSLLD    $23, Z7, Z7
	VPADDD    Z7, Z3, Z3

	VSUBPS  (R11)(AX*1), Z3, Z3
	VMOVUPS Z3, (DI)(AX*1)
	ADDQ    $64, AX
	DECQ    CX
	JNZ     loop
	VZEROUPPER
	RET
