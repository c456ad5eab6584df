/**
 * The commands. Each is a thin client of the service, and starts one inside its own process unless
 * a server is named.
 *
 * <p>Decisions (2026-11-25 and 2026-11-27):
 *
 * <ul>
 *   <li><b>Audio that waits for a service stays in memory</b> ({@code Backlog}). Holding up the
 *       recorder's pipe would make the recorder lose audio, and with {@code tee} the recording
 *       itself; so a source in real time is always read on, and the oldest audio is dropped with a
 *       message. A file on disk could hold more, but the user's own recording is already there. 32
 *       MiB of sent audio are kept too, since only the next call says what of it arrived.
 *   <li><b>The token is added as call credentials,</b> which gRPC asks for once it knows the
 *       address, and its file is read for each call: each start of a service makes a new token.
 *   <li><b>{@code Servers} is a name resolver of our own,</b> because grpc-java has no scheme for a
 *       list of addresses.
 * </ul>
 */
package takewright.cli;
