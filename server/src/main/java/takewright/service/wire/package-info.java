/**
 * Conversions between the contract's messages and the types of the program: facts, regions and
 * settings, and problems as status and error details.
 */
package takewright.service.wire;
