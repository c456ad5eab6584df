/**
 * What the service answers over plain HTTP, to this machine alone.
 *
 * <p>The door for scripts hands each call to the same adapters as gRPC, through a server inside the
 * process, so that limits, errors and streams cannot differ, and gRPC pays nothing for it. The
 * JDK's own server is used since a studio's script makes few calls at once; a call holds one
 * thread.
 */
package takewright.service.http;
