/* The one function that Go programs ask bcryptprimitives.dll for, which Wine before 8.9 does not have: random bytes. */
#include <windows.h>

BOOLEAN NTAPI SystemFunction036(PVOID, ULONG);

__declspec(dllexport) BOOL WINAPI ProcessPrng(PBYTE bytes, SIZE_T count) { return SystemFunction036(bytes, (ULONG)count); }
