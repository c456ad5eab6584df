package takewright.service.session;

import takewright.v1.PcmEncoding;

/**
 * The header of the file in which a session is kept.
 *
 * @param sheetName where the sheet is or would be
 * @param sheetText what it said when the session began
 * @param encoding of the audio as it came
 */
record SessionHeader(
    String sheetName,
    String sheetText,
    String take,
    int sampleRate,
    int channels,
    PcmEncoding encoding) {}
