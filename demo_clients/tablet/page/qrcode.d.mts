// What the desk uses of qrcode.mjs; the library's own declarations are of another kind of module.
export interface Code {
  addData(data: string, mode: "Byte"): void;
  make(): void;
  getModuleCount(): number;
  isDark(row: number, column: number): boolean;
}
export function qrcode(typeNumber: number, errorCorrectionLevel: "L" | "M" | "Q" | "H"): Code;
