"""The rode at rest, and as it is cut for motion: statics, material laws, mesh, the rode let out.

Door: curve_kernel, line_mesh, rode, statics.
"""
